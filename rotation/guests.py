"""Can we feed so many then? Planned with them at the table, and compared; nothing is written unless told to."""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from hashlib import sha256
from math import ceil
from uuid import uuid4

from calendars.writing import Entry, to_ics, write_file
from rotation.assuming import settle
from rotation.carried import from_text
from rotation.changed import Before, changed
from rotation.entries import PRODUCT
from rotation.errors import BadInput, Mistake
from rotation.household.reading import SETTINGS, Home
from rotation.intake.invited import CALENDAR, FOLDER, LASTS, Answer, Asked
from rotation.ledger import Requests
from rotation.naming import names_of
from rotation.plan import Plan
from rotation.problem import Meal, Problem
from rotation.reasons.again import best
from rotation.reasons.deadline import Last, last
from rotation.rules.checked import prove
from rotation.standing import still
from rotation.stockroom import freezer
from rotation.week import Understood, as_told, load, understand


def answer(home: Home, asked: Asked, now: datetime) -> Answer:
    """Return whether guests can be fed. Raises BadInput for a time out of reach, NothingPlanned if nothing fits."""
    from rotation.solve import solve
    from rotation.solve.work import limits

    days = (asked.at.astimezone(home.zone).date() - now.astimezone(home.zone).date()).days + 1
    if asked.at <= now or days > 28 or asked.portions < 1:
        raise BadInput(Mistake("guests", None, "", "that is over, or too far off.", "Ask for the next four weeks."))
    settle(home, now)
    shown = max(days, min(home.settings.plan.days, 7))
    alone, meant = understand(home, now, shown).problem, understand(home, now, shown, guests=asked)
    problem = meant.problem
    meal = next((one for one in problem.meals if one.id == "asked"), None)
    if meal is None:
        raise BadInput(Mistake("guests", None, "", "those who would come eat no bread.", "Ask for more slices each."))
    plan = solve(problem, limits("quick"))
    prove(problem, plan)
    closes = [at for at in problem.shop.closes if at <= meal.at and meal.at - at <= problem.shop.keeps]
    served = sum(serving.portions for serving in plan.servings if serving.meal == meal.id)
    safe = not asked.without or problem.shop.allergens.isdisjoint({"?", *asked.without})
    buy_by = problem.instant(max(closes)) if closes else None
    loaves = ceil(meal.portions / problem.shop.portions)
    fed = served == meal.portions
    before = _before(home, alone) if fed else plan
    until = last(problem, before, meal.id, plan) if fed else Last(None, plan)
    more = _more_bought(before, until.plan) or _more_bought(before, plan)
    begins = [until.at] if until.at is not None else []
    begins += [more[0]] if more and more[0] <= meal.at else []
    also = {one.id for one in problem.meals}
    instead = tuple(one.summary for one in alone.meals if one.id not in also)
    return Answer(
        meal.portions, meal.portions - served, meal.portions < asked.portions, instead, _acts(problem, plan, meal),
        problem.instant(min(begins)) if begins else None, _acts(problem, until.plan, meal),
        _changes(meant, problem, plan),
        loaves, buy_by, safe, more[1] if more else 0, problem.instant(more[0]) if more else None,
    )  # fmt: skip


def _before(home: Home, problem: Problem) -> Plan:
    """Return what goes on without the guests: the plan kept as long as it holds, else a new one."""
    with freezer(home, problem.zero, readonly=True) as ledger:
        text = ledger.whole_plan()
    kept = None if text is None else still(problem, from_text(text), home.zone)
    return kept or best(problem) or Plan()


def _more_bought(before: Plan, plan: Plan) -> tuple[int, int] | None:
    """Return by which minute a plan buys loaves first that the one before does not, and how many; None for none."""
    known = Counter[int]()
    for bought in before.bought:
        known[bought.buy_by] += bought.loaves
    wanted = Counter[int]()
    for bought in plan.bought:
        wanted[bought.buy_by] += bought.loaves
    return min((wanted - known).items(), default=None)


def _acts(problem: Problem, plan: Plan, meal: Meal) -> tuple[tuple[str, datetime], ...]:
    """Return what has to be done for a meal, each by the first step of what feeds it, in time order."""
    sources = {serving.source for serving in plan.servings if serving.meal == meal.id}
    named, found = names_of(problem, plan), list[tuple[int, str]]()
    for bake in plan.bakes:
        made = {lot for _, lot in bake.lots}
        taken = any(out.id in sources and made & {lot for lot, _ in out.lots} for out in plan.take_outs)
        steps = [step for step in bake.steps if step.who is not None] if bake.id in sources or taken else []
        found += [(step.start, named[bake.id, step.name]) for step in steps if step.name in ("feed", "mix")]
    for out in plan.take_outs:
        if out.id in sources and (out.id, "thaw") in named:
            found.append((out.at, named[out.id, "thaw"]))
    return tuple((name, problem.instant(at)) for at, name in sorted(found))


def _changes(meant: Understood, problem: Problem, plan: Plan) -> str:
    with freezer(meant.home, problem.zero, readonly=True) as ledger:
        whole, shown = ledger.whole_plan(), ledger.kept_plan()
    if whole is None or shown is None:
        return ""
    new = as_told(meant, problem, plan)
    return changed(Before.of(from_text(whole), shown), new, problem, (), ()).partition(" Because")[0]


def write(home: Home, asked: Asked, now: datetime, id_: str = "") -> str:
    """Write the guests into a calendar of the household's own, with a rule for what they eat; return where.

    The calendar and the rule are added at the end of `household.toml`. id_: of the request: repeated it counts once.
    Raises CalendarError, StorageError and OSError.
    """
    uid = f"{sha256(id_.encode()).hexdigest()[:32] if id_ else uuid4().hex}-guests"
    with freezer(home, now) as ledger, ledger.together():  # nobody else writes the file meanwhile
        if Requests(ledger).answer(id_, "guests") is None:
            _write(home, asked, now, uid)
            Requests(ledger).record(id_, "guests", [uid], now)
    return FOLDER


def _write(home: Home, asked: Asked, now: datetime, uid: str) -> None:
    """Write the entry and the rule; what a crash before left of them is written over."""
    settings, title = home.folder / SETTINGS, asked.title(home)
    entry = Entry(uid, title, "", asked.at, asked.at + LASTS)
    (home.folder / FOLDER).mkdir(parents=True, exist_ok=True)
    write_file(home.folder / FOLDER / f"{uid}.ics", to_ics([entry], name=CALENDAR, stamp=now, product_id=PRODUCT))
    text = settings.read_text(encoding="utf-8")
    more = "" if any(one.name == CALENDAR for one in load(home.folder).settings.calendars) else _CALENDAR
    without = f"without = [{', '.join(map(_quoted, asked.without))}]\n" if asked.without else ""
    rule = _RULE.format(title=_quoted(title), heads=asked.heads, slices=asked.slices, without=without)
    new = text.rstrip("\n") + "\n" + more + ("" if rule in text else rule)
    write_file(settings, new.encode())
    try:
        load(home.folder)
    except BadInput:  # the household as it was is better than one that cannot be read
        write_file(settings, text.encode())
        (home.folder / FOLDER / f"{uid}.ics").unlink()
        raise


_CALENDAR = f'\n[[calendars]]\nname = "{CALENDAR}"\npath = "{FOLDER}"\nrole = "meals"\nwhose = "nobody"\n'
_RULE = """
[[meals]]
calendar = "Guests"
summary = {title}
heads = {heads}
portions_per_head = {slices}
strict = true
use = "guests"
{without}"""


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
