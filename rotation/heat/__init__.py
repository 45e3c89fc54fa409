"""Heat in bread: how long a loaf takes to cool, freeze through and thaw, and how warm its core comes from the oven.

    asked.py      what is asked of one bread, and what is answered
    cache.py      the answers kept, so that nobody waits for them twice
    answering.py  one bread's answer: waits.py has its cases, measuring.py what a thermometer corrects
    cases.py      one case: its course, and its range
    soft.py       figures and the ends they lie between
    shape.py      loaves; mesh.py cuts them into pieces
    crumb.py      enthalpy and conductivity of bread; substances.py of what it is made of
    conduction.py conduction in enthalpy, stepped by SciPy

Asking imports neither NumPy nor SciPy while the answer is in the cache. Nothing here says that anything is safe: all
times and temperatures are estimates.
"""
