"""What is planned for a new truck, a lift, other tyres, another engine, a winch, cargo: set-ups of a scenario beside its file."""

import re
from argparse import Namespace
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from sim.cli.question_answers import in_words
from sim.describe.estimates.as_measured import TRIGGER
from sim.describe.estimates.truck import AXLES, adapter, copied, estimate_text, shown_in_inches
from sim.describe.files.hardly_meant import unusual_lines
from sim.describe.parts.vehicle import Vehicle
from sim.describe.usual import PLANNED
from sim.errors import InputError, JounceError, Problem, RunError

TYRES = "tyres"
"""How words of planned tyres begin, before the axle."""

PLAN = "planned."
"""How paths of answers begin that are no keys of the truck."""

LOADS = {"engine": "heavier engine", "winch": "bumper and winch", "cargo": "cargo"}
"""Answers that are loads, and what they are called among the usual ones, whose place they take."""

LONGER_STRAPS = (
    "nobody measured its limit straps, and the lift goes past those that are estimated from the dampers' lengths: longer straps are part of this "
    "lift, and longer dampers with them (jounce sheet has both)"
)
"""What is said of a lift that brings straps along."""

LIGHTER = "lighter engine"
"""What the only load is called that may be less than nothing: it takes the heavier engine's place."""

ALL = "all of it"

LOADED, LOADED_ALONE = "all loads, not lifted", "all loads"
"""The loads together without the lift and other tyres: all of it is judged against that, else what loads do would pass for the lift's. The second where
no lift is planned."""


def typed(options: Namespace) -> dict[str, str]:
    """Return what the options say is planned, by PLAN and its word.

    Raises
    ------
    InputError
        If something is not understood: before any question, as answers cost more than an option.
    """
    plans = {word: text for word in LOADS if (text := getattr(options, word)) is not None}
    for word, option in (("lift", "--lift"), (TYRES, "--other-tyres")):
        for one in getattr(options, option.removeprefix("--").replace("-", "_")):
            axles, text = axle_before(one, option)
            plans |= {f"{word}.{axle}": text for axle in axles}
    # For its refusals alone.
    _sizes(plans)
    return {f"{PLAN}{word}": text for word, text in plans.items()}


def axle_before(text: str, option: str) -> tuple[tuple[str, ...], str]:
    """Return the axles that a value of an option is for, and the value: `front:` or `rear:` may stand before it.

    Raises
    ------
    InputError
        If an axle stands before it without its colon.
    """
    before, _, after = (part.strip() for part in text.partition(":"))
    if before.lower() in AXLES:
        other = next((axle for axle in AXLES if f"{axle}:" in after.lower()), "")
        if other:
            raise InputError(
                Problem(
                    "one axle a time", where=option, given=text,
                    suggestion=f"write {option} for each axle by itself: {option} '{before.lower()}:…' {option} '{other}:…'",
                )
            )  # fmt: skip
        return (before.lower(),), after
    if after and before.isalpha():
        raise InputError(
            Problem(
                f"'{before}' is no axle", where=option, given=text, allowed=f"{' or '.join(f'{axle}:' for axle in AXLES)}, or none for both",
                suggestion=f"write {'front' if before.lower()[0] == 'f' else 'rear'}:{after}",
            )
        )  # fmt: skip
    axle, _, rest = text.strip().partition(" ")
    if axle.lower() in AXLES and rest.strip():
        raise InputError(
            Problem(
                "between the axle and its value a colon is wanted", where=option, given=text,
                suggestion=f"write {axle.lower()}:{rest.strip()}",
            )
        )  # fmt: skip
    return AXLES, text


def plans_in(answers: Mapping[str, str]) -> dict[str, str]:
    """Return what is planned among answers, by its word."""
    return {path.removeprefix(PLAN): text for path, text in answers.items() if path.startswith(PLAN)}


def setups(vehicle: Vehicle, planned: Mapping[str, str]) -> dict[str, dict[str, Any]]:
    """Return a set-up for each thing that is planned, all loads together beside a lift, and all of it; none where nothing is.

    Parameters
    ----------
    vehicle : Vehicle
    planned : mapping
        From `lift.front`, `lift.rear`, `tyres.front`, `tyres.rear`, `engine`, `winch` and `cargo` to what was written.

    Raises
    ------
    InputError
        If something is not understood, or the truck cannot be so: by its word.
    """
    from sim.study.planned_tyres import called, tyre_changes

    sizes = _sizes(planned)
    changes: dict[str, dict[str, Any]] = {}
    # A height of nothing beside another one leaves that end as it is.
    if raised := {axle: size for axle in AXLES if (size := sizes.get(f"lift.{axle}"))}:
        changes[_lift_name(raised, planned)] = _lift(vehicle, raised)
    if tyres := tyre_changes(vehicle, {axle: text for axle in AXLES if (text := planned.get(f"{TYRES}.{axle}"))}):
        changes[called(tyres)] = tyres
    parts = len(changes)
    for word, usual in LOADS.items():
        if word in planned:
            name = LIGHTER if sizes[word] < 0.0 else usual
            changes[name] = {f"loads.{name}": {"mass": planned[word], "place": _place(vehicle, usual)}}
    loads = list(changes.values())[parts:]
    together = _together(changes.values())
    if parts and len(loads) > 1:
        changes[LOADED if raised else LOADED_ALONE] = _together(loads)
    if len(changes) > 1:
        changes[ALL] = together
    # All of it together too: a truck may bear each by itself and not the sum.
    for name, one in changes.items():
        _see(vehicle, name, one)
    return changes


def _together(every: Iterable[Mapping[str, Any]]) -> dict[str, Any]:
    """Return the changes of several set-ups as those of one, copied: a file with the same mapping twice has signs that nobody in a shop reads."""
    return {key: copied(value) if isinstance(value, dict) else value for one in every for key, value in one.items()}


def setups_that_can_be(vehicle: Vehicle, planned: Mapping[str, str]) -> tuple[dict[str, dict[str, Any]], bool]:
    """Return as `setups` what of the plan the truck bears, and whether that is all; what it does not bear is left out with a notice why."""
    from sim.cli.notices import note

    # A lift that cannot be costs nobody the cargo, and the truck itself is written all the same.
    loads = {word: text for word, text in planned.items() if word in LOADS}
    for some in [planned, loads] if 0 < len(loads) < len(planned) else [planned]:
        try:
            changes = setups(vehicle, some)
        except InputError as error:
            why = "; ".join(f"{one.where}: {in_words([one])}" for one in error.problems)
            note(f"NOTICE: what is planned is left out, as it cannot be: {why}")
            continue
        for axle in (axle for axle in AXLES if any(f"{axle}.strap.length" in one for one in changes.values())):
            note(f"NOTICE: {axle}: {LONGER_STRAPS}")
        return changes, some is planned
    return {}, False


def wrong_plan(data: Mapping[str, Any], planned: Mapping[str, str]) -> str:
    """Return why what is planned cannot be; empty if it can, or as long as the truck itself cannot.

    Parameters
    ----------
    data : mapping
        The truck as far as it is known.
    planned : mapping
        As in `setups`.
    """
    from sim.describe.files.vehicles import vehicle_from

    try:
        vehicle = vehicle_from({"name": "truck", TRIGGER: {}, **data})
    except InputError:
        return ""  # of the truck, which is refused by its own questions
    try:
        setups(vehicle, planned)
    except InputError as error:
        return in_words(error.problems)
    return ""


def unusual(planned: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """Return for each plan that is possible but far out of the usual what is said of it, by what it is called.

    A lift of both axles alike is said once.
    """
    said: dict[str, tuple[str, ...]] = {}
    for word, size in _sizes(planned).items():
        what = word.partition(".")[0]
        own = PLANNED[what]
        # Lowered, or lighter: its size counts. Nothing at one axle is no lift of it.
        if size and not own.low <= abs(size) <= own.high:
            lines = unusual_lines(planned[word], size, "kg" if word in LOADS else "m", own)
            if lines not in said.values():
                said[f"planned {what}" if word not in LOADS else f"planned: {LOADS[word]}"] = lines
    return said


def _sizes(planned: Mapping[str, str]) -> dict[str, float]:
    """Return lifts [m] and masses [kg] by their words.

    Raises
    ------
    InputError
        If one is not understood, or cannot be by itself.
    """
    sizes: dict[str, float] = {}
    problems: list[Problem] = []
    for word, text in planned.items():
        try:
            sizes[word] = _size(word, text)
        except InputError as error:
            problems += error.problems
    heights = [size for word, size in sizes.items() if word.startswith("lift")]
    if heights and not any(heights):
        message = "a lift of nothing changes nothing"
        problems.append(Problem(message, where="planned lift", suggestion="a height, 2 in, or leave it out"))
    # All at once: whoever left out one unit left out the others too.
    if problems:
        raise InputError(problems)
    return sizes


def _size(word: str, text: str) -> float:
    """Return one lift [m] or mass [kg].

    Raises
    ------
    InputError
        As `_sizes`.
    """
    what, _, axle = word.partition(".")
    where = f"planned {what}, {axle}" if axle else f"planned: {LOADS[word]}"
    if what == TYRES:
        from sim.study.planned_tyres import diameter_of

        return diameter_of(text, where)
    size = _read(text, "length" if axle else "mass", where)
    if not axle and size <= 0.0 and (word != "engine" or size == 0.0):
        message = (
            "changes nothing" if word == "engine" else "must be more than nothing; only another engine may be lighter"
        )
        raise InputError(Problem(message, where=where, given=text, suggestion="a mass, 165 lb, or leave it out"))
    return size


def _lift_name(raised: Mapping[str, float], planned: Mapping[str, str]) -> str:
    """Return what a lift is called: `lifted 2 in in front and lowered 1 in behind`, the word once where it is the same."""
    pieces, before = [], ""
    for axle, size in raised.items():
        word = "lifted" if size > 0.0 else "lowered"
        # The word has the sign already; a space before the unit, as `2in in front` is hard to read.
        text = re.sub(r"(?<=\d)(?=[a-z])", " ", planned[f"lift.{axle}"].strip().lstrip("+-").strip())
        pieces.append(f"{'' if word == before else f'{word} '}{text} {'in front' if axle == 'front' else 'behind'}")
        before = word
    return " and ".join(pieces)


def _lift(vehicle: Vehicle, raised: Mapping[str, float]) -> dict[str, Any]:
    from sim.study.lift import lifted

    try:
        return dict(lifted(vehicle, raised).changes)
    except JounceError as error:
        raise InputError(Problem(f"the truck cannot be lifted so: {error}", where="planned lift")) from None


def _place(vehicle: Vehicle, usual: str) -> dict[str, str]:
    from sim.study.loads import usual_loads

    load = next(one for one in usual_loads(vehicle) if one.name == usual)
    # As the lift beside it: by what is shown, not only by what was typed.
    inches = shown_in_inches(vehicle.typed_system == "inch")
    return {
        "behind_front_axle": estimate_text(load.behind, 0.0, "length", inches),
        "above_ground": estimate_text(load.above, 0.0, "length", inches),
    }


def _see(vehicle: Vehicle, name: str, changes: Mapping[str, Any]) -> None:
    """See that a truck can be so, and stand so: what `jounce check` would refuse is not written.

    Raises
    ------
    InputError
        If it cannot.
    """
    from sim.linear.standing import stand

    where = f"planned: {name}"
    try:
        stand(vehicle.changed(changes))
    except InputError as error:
        raise InputError(
            # The set-up stands in no file yet: a line would lead nowhere.
            [replace(one, file="", line=None, column=None, where=where) for one in error.problems]
        ) from None
    except RunError as error:
        raise InputError(Problem(f"the truck cannot stand so: {error}", where=where)) from None


def _read(text: str, quantity: str, where: str) -> float:
    from pydantic import ValidationError

    from sim.describe.wrong import first_in_words

    try:
        return float(adapter(quantity).validate_python(text))
    except ValidationError as error:
        raise InputError(Problem(first_in_words(error, text), where=where, given=text)) from None


HEAD = """\
# What is planned for {name}, each by itself and all together, against the truck as it is.
# Masses are as given; a load stands where such loads usually do (common practice, no source): write your own place.
# {tyres}A lift is by longer springs of the same rate; brakes, hoses, joints and steering are not looked at here: jounce lift {vehicle} has more,
# with --by spacers for spacers and blocks (which lift only where the packs lie on top of the axle), with --by shackles for longer shackles.
"""


TYRES_TOO = """\
Other tyres bring their own radius, rate, weight and spin inertia, estimated from their size (docs/measure/tyre.md, unsprung-mass.md): the truck
# stands higher by what the radius grows, and gears pull over the greater radius. Whether they clear arches, arms and springs at full lock and full
# bump is not looked at: try one. Bigger tyres want more pedal for the same stop, and the speedometer reads too low.
# """


def scenario_text(name: str, vehicle: str, run: Mapping[str, Any], changes: Mapping[str, Mapping[str, Any]]) -> str:
    """Return the text of the scenario."""
    from sim.describe.files.writer import as_yaml

    data = {
        "kind": "scenario", "name": f"{name}: what is planned", "question": "What does that do to height, travel and ride?", "vehicle": vehicle,
        "run": dict(run), "setups": {"as it is": {}, **changes},
    }  # fmt: skip
    has_tyres = any(path.partition(".")[2].startswith("tyre.") for one in changes.values() for path in one)
    head = HEAD.format(name=name, vehicle=vehicle, tyres=TYRES_TOO if has_tyres else "")
    for axle in (axle for axle in AXLES if any(f"{axle}.strap.length" in one for one in changes.values())):
        head += f"# {axle}: {LONGER_STRAPS}.\n"
    return head + as_yaml(data)
