"""The days after the first four weeks: what is baked on which of them, without the minutes."""

from rotation.far.sketch import CLEAR_DAYS, After, Eaten, Out, Ready, Sketch, SketchBake, after

__all__ = ["CLEAR_DAYS", "After", "Eaten", "Out", "Ready", "Sketch", "SketchBake", "after"]
