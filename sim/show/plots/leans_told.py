"""What is told of a study of leans, above its picture and on the screen: the finding, what it turns on, and each road's shares."""

import re
from math import nan

import numpy as np

from sim.describe.parts.slip import Relaxation
from sim.describe.to_measure import listed
from sim.integrate.status import in_words, once
from sim.show.plots.finding import named
from sim.show.plots.leans_fit import as_they_stand, at, told
from sim.show.plots.lettering import clean
from sim.show.plots.title_lines import fits_title, in_title, statements
from sim.study.lean import GRIP, HARDLY, Change, Leaned, Leans, Tried
from sim.study.mounts import MOVES


def shown(leans: Leans) -> dict[Relaxation, dict[str, dict[str, Leaned]]]:
    """Return what is shown: the file's way that grip follows load, and the other one where the advice turns on it."""
    # Twice the panels only where it changes the advice: a mechanic cannot know how grip builds up.
    return leans.roads if leans.turns() else {leans.relaxation: leans.roads[leans.relaxation]}


def title(leans: Leans) -> str:
    """Return the trade's question, whether the dampers fit as they stand, and what the runs say of the road where the mounts decide most."""
    question, what = answered(leans)
    # Before all advice: a place that no damper fits is no place to stay at.
    return " ".join(text for text in (question, now(leans), what) if text)


def in_picture(leans: Leans) -> tuple[str, str]:
    """Return what the picture has as its title, the finding with its size, and what stands beneath it, as the title has no room for all."""
    whole = answered(leans)[1]
    head, rest = in_title(whole)
    if not rest:
        return head, ""
    if not fits_title(head):
        # The road's name first, then the size as it stands: all of it stands beneath.
        for leaves_out in (r"^On “[^”]*” ", r", now [\d.]+ deg"):
            head = re.sub(leaves_out, "", statements(head)[0].rstrip(".;"))
            head = head[0].upper() + head[1:]
            if fits_title(head):
                break
        return head, rest
    # What holds on that road, or by that way of grip alone, says so beneath it too.
    under = [f"if {GRIP[leans.relaxation]}"] if head.startswith("If ") else []
    roads = leans.roads[leans.relaxation]
    if len(roads) > 1:
        under.insert(0, f"on “{clean(max(roads, key=lambda road: _most(leans, road)[0]))}”")
    said = ", ".join(under)
    if not under:
        return head, rest
    return head, f"{said[0].upper()}{said[1:]}: {rest[0].lower()}{rest[1:]}"


def now(leans: Leans) -> str:
    """Return the sentence that a damper does not fit as the set-ups stand; empty where all do."""
    said = as_they_stand(leans)
    return f"{said[0].upper()}{said[1:]}." if said else ""


def answered(leans: Leans) -> tuple[str, str]:
    """Return the trade's question, and what the runs say of the road where the mounts decide most."""
    question = f"Which way and how far to lean the {leans.axle} dampers?"
    roads = leans.roads[leans.relaxation]
    # The road on which the mounts do most: elsewhere any advice would rest on next to nothing.
    decisive = max(roads, key=lambda road: _most(leans, road)[0])
    turned = _turned(leans, decisive)
    move, (setup, _) = max(
        changes(leans, leans.relaxation, decisive).items(), key=lambda each: each[1][1].size, default=("", ("", None))
    )
    # Advice that other tyres turn round is no advice: then both are given in one sentence, each with its condition.
    if (setup, move) in turned:
        return question, _both_ways(leans, decisive, setup, move, turned)
    said = finding(leans, leans.relaxation, decisive)
    # Where something else turns on this road, the other way that grip follows load is shown too.
    if turned:
        said = f"If {GRIP[leans.relaxation]}, {said[0].lower()}{said[1:]}"
    return question, said


def _of_the_first(leans: Leans, road: str, spoken_of: str, turned: list[tuple[str, str]]) -> str:
    """Return what holds of the file's first set-up, as the rest of a sentence on another one: that is mostly the truck that stands in the shop.

    Nothing where it is the one that is spoken of, where nothing of it counts, and where its best place turns too.
    """
    first = next(iter(leans.roads[leans.relaxation][road]))
    ways = list(leans.roads)
    by_move = {move: change for move in MOVES if (change := leans.change(leans.relaxation, road, first, move))}
    if first == spoken_of or not by_move:
        return ""
    move = max(by_move, key=lambda each: by_move[each].size)
    if (first, move) in turned:
        return ""
    if not by_move[move].matters:
        return f"; with {named(leans, first)} it hardly matters where they are ({_deg(by_move[move].size)} at most)"
    rows = [leans.roads[way][road][first] for way in ways]
    places = [{t.at: t.values["peak"] for t in row.moves[move].tried if t.counts} for row in rows]
    both = [spot for spot in places[0] if all(spot in place for place in places)]
    if not both:
        return ""
    least = [min(place.values()) for place in places]
    best = min(both, key=lambda spot: max(place[spot] - one for place, one in zip(places, least, strict=True)))
    winds_up = " and ".join(_deg(place[best]) for place in places)
    now = " and ".join(_deg(row.stands.values["peak"]) for row in rows)
    place = next(t for t in rows[0].moves[move].tried if t.at == best)
    return f"; with {named(leans, first)} {MOVES[move].label} {at(move, place)} are good either way (wind-up {winds_up}, now {now})"


def _turned(leans: Leans, road: str) -> list[tuple[str, str]]:
    """Return set-up and move of all that turns on a road on how grip builds up, that which the move does most for first."""

    def size(pair: tuple[str, str]) -> float:
        change = leans.change(leans.relaxation, road, *pair)
        return change.size if change else 0.0

    return sorted(((setup, move) for at, setup, move in leans.turns() if at == road), key=size, reverse=True)


def _both_ways(leans: Leans, road: str, setup: str, move: str, turned: list[tuple[str, str]]) -> str:
    """Return what is best on a road by either way that grip can follow load, of what turns on it, and what holds both ways."""
    ways = {way: leans.change(way, road, setup, move) for way in leans.roads}
    where = f"On “{clean(road)}” the best place" if len(leans.roads[leans.relaxation]) > 1 else "The best place"
    depends = "may depend (too close to call)" if leans.close() else "depends"
    said = f"{where} {depends} on how grip builds up: "
    best = {way: MOVES[move].words(change.best.at) if change else "" for way, change in ways.items()}
    # Places between those that were asked for decide that it turns; these alone may not show it.
    if len(set(best.values())) == 1:
        said += f"for {MOVES[move].label} the places that were tried are too far apart to show it (more --steps do)"
    else:
        said += f"{MOVES[move].label} " + ", ".join(
            f"{best[way]} {UNDER[way]} ({'' if number else 'wind-up '}{_gain(leans, way, road, setup, change)})" if change
            else f"nowhere {UNDER[way]} (none of these places counts)"
            for number, (way, change) in enumerate(ways.items())
        )  # fmt: skip
    # A statement of its own: a title that has no room for a name has it beneath.
    if len(leans.roads[leans.relaxation][road]) > 1:
        said += f"; so it is with {named(leans, setup)}{_of_the_first(leans, road, setup, turned)}"
    alone = [changes(leans, way, road).get("upper") for way in leans.roads]
    sizes = [change.size for _, change in filter(None, alone)]
    if sizes and not any(change.matters for _, change in filter(None, alone)):
        said += f"; lean alone hardly matters either way ({_deg(max(sizes))} at most)"
    elif sizes and move != "upper":
        said += f"; lean alone changes {_deg(max(sizes))} at most"
    between = {way: leans.between_setups(way, road) for way in leans.roads}
    most = {
        way: max((change.size for _, change in changes(leans, way, road).values()), default=0.0) for way in leans.roads
    }
    if all(between[way] > most[way] for way in leans.roads):
        said += f"; which set-up it is matters more either way: {' and '.join(_deg(size) for size in between.values())}"
    return said


UNDER: dict[Relaxation, str] = {
    "at_once": "if it follows load at once",
    "after_length": "if only as the tyre rolls on",
}
"""Conditions of GRIP within a sentence that is about grip."""


def _gain(leans: Leans, way: Relaxation, road: str, setup: str, change: Change) -> str:
    """Return the wind-up at the best place, and as it stands."""
    stands, best = leans.roads[way][road][setup].stands, change.best.values["peak"]
    if change.best is stands or not stands.sound:
        return _deg(best)
    return f"{_deg(best)}, now {_deg(stands.values['peak'])}"


def paragraphs(leans: Leans) -> list[str]:
    """Return what the title has no room for: every road, what depends on the set-up, the other way that grip follows load."""
    said = []
    for relaxation, roads in shown(leans).items():
        for road in roads:
            # A road on which even the set-up as it stands is flagged gives no sound comparison.
            if not any(row.stands.sound for row in roads[road].values()):
                continue
            start = f"If {GRIP[relaxation]}, on" if relaxation != leans.relaxation else "On"
            said.append(f"{start} “{clean(road)}” {shares(leans, relaxation, road)}.")
        if relaxation == leans.relaxation and turning(leans):
            said.append(turning(leans))
    return [*said, *told(leans)]


def turning(leans: Leans) -> str:
    """Return the sentence that says of what the advice turns on the tyre's grip, or may, and where least is lost; empty if it does not."""
    turns = leans.turns()
    if not turns:
        return ""
    moves = listed(list(dict.fromkeys(MOVES[move].label for _, _, move in turns)))
    roads = " and ".join(f"“{clean(road)}”" for road in dict.fromkeys(road for road, _, _ in turns))
    setups = list(dict.fromkeys(setup for _, setup, _ in turns))
    count = len(next(iter(leans.roads[leans.relaxation].values())))
    # Many names would bury the rest; one set-up is named by nobody.
    who = (
        [f"“{clean(setup)}”" for setup in setups]
        if len(setups) <= MOST_NAMED
        else [f"{len(setups)} of {count} set-ups"]
    )
    with_setups = f"; with {' and '.join(who)}" if count > 1 else ""
    # Measured by nobody in a shop, so that both are shown, and what costs least whichever it is.
    where = f"(on {roads}{with_setups}): both are shown.{_least_lost(leans)}"
    if leans.close():
        return f"For {moves} it is too close to call whether the best place depends on how the tyre's grip builds up {where}"
    return f"For {moves} the best place depends on how the tyre's grip builds up {where}"


MOST_NAMED = 2
"""Set-ups of which what turns is told by their names."""


def _least_lost(leans: Leans) -> str:
    """Return the sentence that says at which place the worse of both ways is least bad, of what turns most; empty if none counts in both."""
    road = max((road for road, _, _ in leans.turns()), key=lambda road: _most(leans, road)[0])
    setup, move = _turned(leans, road)[0]
    ways = [roads[road][setup] for roads in leans.roads.values()]
    best = [min((t.values["peak"] for t in _counting(row, move)), default=nan) for row in ways]
    # By where they are: the same places were tried in both.
    places = [{t.at: t.values["peak"] for t in row.moves[move].tried if t.counts} for row in ways]
    lost = {
        at: max(place[at] - least for place, least in zip(places, best, strict=True))
        for at in places[0]
        if all(at in place for place in places)
    }
    # Places between these decide: where they alone would lose next to nothing, they do not show what turns.
    if not lost or min(lost.values()) < HARDLY * max(leans.spread(way, road) for way in leans.roads):
        return ""
    at = min(lost, key=lambda place: lost[place])
    who = f" with {named(leans, setup)}" if len(leans.roads[leans.relaxation][road]) > 1 else ""
    return f" Whichever it is, {MOVES[move].label} {MOVES[move].words(at)}{who} leave {_deg(lost[at])} at most above the best place."


def _counting(row: Leaned, move: str) -> list[Tried]:
    """Return what counts of a way of moving the mounts, as it stands among it."""
    return [t for t in (*row.moves[move].tried, row.stands) if t.counts]


def changes(leans: Leans, relaxation: Relaxation, road: str) -> dict[str, tuple[str, Change]]:
    """Return the set-up on which each way of moving the mounts does most, and what it does, by move."""
    largest: dict[str, tuple[str, Change]] = {}
    # The set-up on which a move does most speaks for it: there it is worth the work.
    for move in MOVES:
        for setup in leans.roads[relaxation][road]:
            change = leans.change(relaxation, road, setup, move)
            if change is not None and (move not in largest or change.size > largest[move][1].size):
                largest[move] = setup, change
    return largest


def _most(leans: Leans, road: str) -> tuple[float, str]:
    """Return by how much the best of the ways of moving the mounts changes the swing on a road, and which it is."""
    by_move = changes(leans, leans.relaxation, road)
    return max(((change.size, move) for move, (_, change) in by_move.items()), default=(0.0, ""))


def finding(leans: Leans, relaxation: Relaxation, road: str) -> str:
    """Return what lean alone does on a road, and what does most."""
    by_move = changes(leans, relaxation, road)
    where = f"On “{clean(road)}” " if len(leans.roads[relaxation]) > 1 else ""
    # Best of flagged or unfit places would be advice to build what breaks.
    if not by_move:
        setups = leans.roads[relaxation][road].values()
        faults = in_words(once(flag for row in setups for flag in row.flags))
        return f"{where or 'With every set-up '}no place that was tried counts: all are flagged or do not fit" + (
            f" ({faults})" if faults else ""
        )
    said = []
    # Lean alone first: it is the question that the trade asks, even if the answer is that it hardly matters.
    if "upper" in by_move and (by_move["upper"][1].matters or _known(leans, relaxation, road, ["upper"])):
        said.append(_lean_alone(by_move["upper"][1], leans.spread(relaxation, road)))
    move = max((m for m in by_move if m != "upper"), key=lambda m: by_move[m][1].size, default="")
    if move and by_move[move][1].matters:
        said.append(_best(leans, relaxation, road, move, *by_move[move]))
    elif move and _known(leans, relaxation, road, [each for each in by_move if each != "upper"]):
        said.append("where the lower mounts are hardly matters either")
    # What nobody could try is said, not passed over: it may be just what would help.
    missed = [m for m in MOVES if not _known(leans, relaxation, road, [m])]
    if missed:
        said.append(f"not tried, as most places do not fit: {listed([MOVES[m].label for m in missed])}")
    # What the mounts cannot do, something else does: a mechanic is to know what.
    between = leans.between_setups(relaxation, road)
    if between > max((change.size for _, change in by_move.values()), default=0.0):
        said.append(f"which set-up it is matters more: {_deg(between)}")
    text = "; ".join(said)
    return f"{where}{text}" if where else text[0].upper() + text[1:]


def _lean_alone(change: Change, spread: float) -> str:
    if not change.matters:
        return f"lean alone hardly matters ({np.degrees(change.size):.1f} of {_deg(spread)} between all set-ups)"
    return (
        f"lean alone changes {_deg(change.size)} of {_deg(spread)} between all set-ups, the axle winds up least "
        f"{at('upper', change.best)}"
    )


def _known(leans: Leans, relaxation: Relaxation, road: str, moves: list[str]) -> bool:
    """Return whether most places of these ways of moving the mounts were run with a set-up."""
    rows = leans.roads[relaxation][road].values()
    # A way that cannot be done at all has its own reason, and no places.
    return all(any(row.moves[move].known for row in rows) for move in moves)


def _best(leans: Leans, relaxation: Relaxation, road: str, move: str, setup: str, change: Change) -> str:
    """Return what the best place of a move gains: against where it stands, or the worst if that is hardly different."""
    stands, best = leans.roads[relaxation][road][setup].stands, change.best.values["peak"]
    gain = stands.values["peak"] - best if stands.sound else 0.0
    against = f"{_deg(change.worst.values['peak'])} ({MOVES[move].words(change.worst.at)})"
    # Against today's place where that is most of the gain; else against the worst, which says what to avoid.
    if change.best is not stands and gain >= change.size / 2.0:
        against = f"{_deg(stands.values['peak'])} as it stands"
    who = f" with {named(leans, setup)}" if len(leans.roads[relaxation][road]) > 1 else ""
    # In short: a title has three lines, and the paragraphs name it with its fault.
    flagged = " (flagged places left aside)" if change.flagged_better else ""
    place = at(move, change.best)
    return f"{MOVES[move].label} {place}: wind-up {_deg(best)}, not {against}{who}{flagged}"


def shares(leans: Leans, relaxation: Relaxation, road: str) -> str:
    """Return what each way of moving the mounts changes on a road, largest first, and what the set-ups differ by."""
    parts = []
    if len(leans.roads[relaxation][road]) > 1:
        parts.append((leans.between_setups(relaxation, road), "which set-up it is {}"))
    for move, (_, change) in changes(leans, relaxation, road).items():
        if change.matters:
            text = f"{MOVES[move].label} {{}} = {100 * change.share:.0f} % (least {at(move, change.best)}"
        elif not _known(leans, relaxation, road, [move]):
            continue  # its sentence on what does not fit says that it was not tried
        else:
            text = f"{MOVES[move].label} hardly, {{}}, {change.hardly} ("
        # Less wind-up at a flagged place is said, not advised.
        if change.flagged_better:
            other = change.flagged_better
            text += f"; less still but flagged {MOVES[move].words(other.at)}: {in_words(other.flags)}"
        # Set-ups and moves in one list by size: it shows at once whether mounts or dampers matter more.
        parts.append((change.size, (text + ")").replace("(; ", "(").replace(" ()", "")))
    listing = "; ".join(text.format(_deg(size)) for size, text in sorted(parts, key=lambda part: -part[0]))
    return f"{_deg(leans.spread(relaxation, road))} of wind-up between all that was tried: {listing}"


def _deg(angle_rad: float) -> str:
    return f"{np.degrees(angle_rad):.1f} deg"
