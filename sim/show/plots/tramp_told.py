"""What is told of a map of tramp, above its picture and on the screen: whether it hops as it stands, when, what stops it, and where it hops least."""

from dataclasses import dataclass

import numpy as np

from sim.describe.shown import show
from sim.integrate.status import in_words
from sim.show.plots.leans_fit import of_places, stands
from sim.show.plots.lettering import clean, signed
from sim.show.plots.title_lines import fits_title, in_title
from sim.study.lean import GRIP, HARDLY
from sim.study.mounts import MOVES
from sim.study.tramp.motions import SPEED
from sim.study.tramp.records import MAPPED, Tramp, TrampMap, clipped_onsets


def held() -> str:
    """Return in which state all places are mapped: a hill or a course of the launch changes nothing of it."""
    return (
        f"Every place is held at {show(SPEED, 'road_speed')} on level ground while its wheels slip: the launch's hill and course are left out "
        "(jounce compare drives them)."
    )


@dataclass(frozen=True)
class _AsItStands:
    """How it is where the set-up has its dampers: whether they fit, when it hops, which motion that is, and what the driver can do; empty where unknown."""

    fits: str = ""
    when: str = ""
    name: str = ""
    eased: str = ""

    def said(self, short: bool = False) -> str:
        """Return it as sentences; the short way leaves out the motion and what the driver can do."""
        if not self.when:
            return self.fits
        what = f": {self.name}" if self.name and not short else ""
        eased = f"{self.eased} " if self.eased and not short else ""
        return f"{self.fits}As it stands {self.when}{what}. {eased}"

    def left_out(self) -> list[str]:
        """Return the sentences of what the short way leaves out."""
        return [text for text in (f"What hops as it stands is {self.name}." if self.name else "", self.eased) if text]


def title(tramp: Tramp) -> str:
    """Return what the maps say, as the file has its tyres, and that it holds for such tyres alone where the advice turns on them."""
    return _whole(tramp, short=False)


def in_picture(tramp: Tramp) -> tuple[str, str]:
    """Return what the picture has as its title, how it is and where it is best, and what stands beneath it, as the title has no room for all."""
    whole = title(tramp)
    if fits_title(whole):
        return whole, ""
    # What the driver can do and which motion it is are no finding of where the dampers are to go.
    head, rest = in_title(_whole(tramp, short=True))
    now = _as_it_stands(_maps(tramp)[MAPPED[0]])
    # Who never hops wherever the dampers are has no sentence of how it stands.
    later = now.left_out() if _as_the_file_has_it(tramp)[0] else []
    under = f"If {GRIP[tramp.relaxation]}: " if tramp.turns() else ""
    beneath = " ".join(text for text in (*later, rest) if text)
    return head, f"{under}{beneath[:1].lower()}{beneath[1:]}" if under else beneath


def _whole(tramp: Tramp, short: bool) -> str:
    now, said = _as_the_file_has_it(tramp, short)
    if not tramp.turns():
        return now + said
    whole = f"{now}Then {said[0].lower()}{said[1:]}" if now else said
    return f"If {GRIP[tramp.relaxation]}, {whole[0].lower()}{whole[1:]}"


def _maps(tramp: Tramp) -> dict[str, TrampMap]:
    """Return the maps of the file's own way of grip by the move of the mounts."""
    return {tramp_map.move: tramp_map for tramp_map in tramp.maps if tramp_map.relaxation == tramp.relaxation}


def _as_the_file_has_it(tramp: Tramp, short: bool = False) -> tuple[str, str]:
    """Return how it is as it stands, if that is known, and where tramp, whatever nods the pinion, starts last and first."""
    maps = _maps(tramp)
    verdicts = {tramp_map.tramps(i) for tramp_map in maps.values() for i, row in enumerate(tramp_map.points) if row}
    who = f"“{clean(tramp.maps[0].name)}”"
    # The same at every place: there is no better or worse one to name.
    if verdicts == {"never"}:
        also = _beside(*maps.values())
        if also:
            return "", (
                f"With {who} the axle never hops (tramp) anywhere on this map; "
                f"{' and '.join(also)} {'grow by themselves' if len(also) > 1 else 'grows by itself'} in places, without the pinion"
            )
        return "", f"With {who} no motion grows by itself anywhere on this map: it never hops (tramp)"
    if verdicts == {"always"}:
        return "", f"With {who} it always hops (tramp), wherever on this map the dampers are"
    # What somebody asks first is how the truck does as it stands, whichever of its mounts are moved then.
    now = _as_it_stands(maps[MAPPED[0]]).said(short)
    # The move that shifts the onset most is the one worth a title.
    decisive = max(maps, key=lambda move: _range(maps[move]))
    if not _matters(maps[decisive]):
        low, high = (_ends(maps[decisive])[end] for end in (0, 1))
        where, missed = maps[decisive], _untried(maps)
        # Most places are not known of a way of moving them: then nobody can say that it hardly matters.
        if now and missed:
            return now, f"Other places that fit change hardly anything of that; {missed}"
        if now:
            return now, f"Where the dampers are hardly matters to that ({_reach(where)})"
        # Nothing is known of where they are now: both ends are given, so that the reader can judge it.
        said = f"With {who} it {_hops(where, low)} at best, {_when(where, high)} at worst"
        return (
            now,
            f"{said}, of the places that fit: {missed}"
            if missed
            else f"{said}: where the dampers are hardly matters to that",
        )
    said = _latest_and_first(maps[decisive])
    others = [move for move in maps if move != decisive and maps[move].known and not _matters(maps[move])]
    missed = _untried(maps)
    return now, capital(said) + "".join(
        f". {capital(MOVES[move].subject)} hardly matters ({_reach(maps[move])})" for move in others
    ) + (f". {capital(missed)}" if missed else "")


def _beside(*maps: TrampMap) -> list[str]:
    """Return the names of what grows somewhere on some maps without the pinion, each once."""
    said = (one.also(i).split(" (")[0] for one in maps for i, row in enumerate(one.points) if row)
    return list(dict.fromkeys(filter(None, said)))


def _untried(maps: dict[str, TrampMap]) -> str:
    """Return that most places of a way of moving the dampers were not tried, and so nothing is known of it; empty if of none."""
    missed = [one for one in maps.values() if not one.known]
    return "; ".join(
        f"{MOVES[one.move].label} not tried, {len(one.left_out)} of {len(one.points)} places do not fit"
        for one in missed
    )


def _hops(found: TrampMap, place: int) -> str:
    return {"never": "never hops", "always": "always hops"}.get(found.tramps(place), f"hops {_when(found, place)}")


def _eased(found: TrampMap, place: int) -> str:
    """Return what the driver can do about it at a place; empty where that is nothing."""
    onset = found.onset(place)
    # Short of where it starts it dies by itself; where it always does on this map nobody knows how far that is.
    return "It stops when the throttle is eased until the tyres slip less than that." if np.isfinite(onset) else ""


def _as_it_stands(found: TrampMap) -> _AsItStands:
    """Return how it is where the set-up has its dampers, by parts; empty ones where the map has no such place."""
    place = found.standing
    if place is None:
        return _AsItStands()
    misfit = found.left_out.get(place) or found.unsure.get(place)
    fits = capital(stands({"": misfit}, {"": ""})).replace("As they stand", "As it stands") + ". " if misfit else ""
    if place in found.left_out:
        return _AsItStands(fits)
    flagged = f" (FLAGGED: {in_words(found.flags_at(place))})" if found.flags_at(place) else ""
    when = {"never": "it never hops on this map", "always": "it always hops"}.get(
        found.tramps(place), f"it hops {_when(found, place)}"
    )
    # Shaft twist with a pinion that nods is felt as tramp too, and is no wind-up of the axle by itself.
    name = found.first_name(place) if found.tramps(place) != "never" else ""
    return _AsItStands(fits, f"{when}{flagged}", name, _eased(found, place))


def paragraphs(tramp: Tramp) -> list[str]:
    """Return what the title has no room for: what grows, the other move, the other way that grip follows load, what is left out."""
    said = []
    for tramp_map in tramp.maps:
        # The file's own grip first; the other way has one sentence at the end.
        if tramp_map.relaxation != tramp.relaxation:
            continue
        names = dict.fromkeys(
            name for i, row in enumerate(tramp_map.points) if row and (name := _bare(tramp_map.first_name(i)))
        )
        wind_up = {tramp_map.wind_up_onset(i) for i, row in enumerate(tramp_map.points) if row}
        also = _beside(tramp_map)
        # Onsets of minus and plus infinity stand for never and always; wind-up may not be what tramps first.
        own = "does not grow" if wind_up == {-np.inf} else "always grows" if wind_up == {np.inf} else "grows in places"
        beside = f"{capital(', '.join(also))} grows too, without the pinion. " if also else ""
        onset_text = (
            capital(_latest_and_first(tramp_map))
            if _matters(tramp_map) or not tramp_map.known
            else f"{capital(MOVES[tramp_map.move].subject)} hardly matters ({_reach(tramp_map)}){_faults(tramp_map, tramp_map.latest())}"
        )
        said.append(
            f"{capital(MOVES[tramp_map.move].label)}: what hops first is {' or '.join(names) or 'nothing'}; wind-up {own} by itself. "
            f"{beside}{onset_text}."
        )
    if turning(tramp):
        said.append(turning(tramp))
    for tramp_map in tramp.maps:
        if tramp_map.relaxation != tramp.relaxation and turning(tramp):
            said.append(f"If {GRIP[tramp_map.relaxation]}: {_latest_and_first(tramp_map)}.")
    return [*said, *not_fitting(tramp)]


def not_fitting(tramp: Tramp) -> list[str]:
    """Return a sentence for each way of moving the mounts that has places at which a damper does not fit, or would not by an estimate."""
    said = []
    # What fits does not depend on grip, so one map of each move tells all that is left out.
    for tramp_map in tramp.maps[: len(MAPPED)]:
        misfits = [
            (float(tramp_map.places[i]), misfit)
            for i, misfit in sorted((tramp_map.left_out | tramp_map.unsure).items())
        ]
        if misfits:
            # The same at many places is one sentence, with the worst of them.
            said.append(
                f"{capital(MOVES[tramp_map.move].label)}: {of_places(tramp_map.move, misfits, len(tramp_map.points))}"
            )
    return said


def turning(tramp: Tramp) -> str:
    """Return the sentence that says that the advice turns on the tyre's grip, or may; empty if it does not."""
    if not tramp.turns():
        return ""
    if tramp.close():
        return "On your truck it is too close to call whether the advice depends on how the tyre's grip builds up: both are shown."
    return "On your truck the advice depends on how the tyre's grip builds up: both are shown."


def _range(found: TrampMap) -> float:
    # Clipped to the map: always and never are infinite, and their difference would drown all others.
    onsets = clipped_onsets(found)
    return float(np.nanmax(onsets) - np.nanmin(onsets))


def _reach(found: TrampMap) -> str:
    """Return by how much the start of tramp moves over a map, in the slope of the slip curve that it is said by."""
    return f"its start moves by {_range(found):.2f} of slope"


def _matters(found: TrampMap) -> bool:
    return _range(found) >= HARDLY * float(np.ptp(found.slip_slope))


def _ends(found: TrampMap) -> tuple[int, int]:
    """Return the places at which anything grows latest and first."""
    onsets = np.array([found.onset(place) for place in range(len(found.points))])
    return found.latest(), int(np.nanargmax(onsets))


def _when(found: TrampMap, place: int) -> str:
    return signed(found.tramps(place))


def _latest_and_first(found: TrampMap) -> str:
    low, high = _ends(found)
    return (
        f"tramp starts latest with {_things(found.move)} {found.words(low)}: {_when(found, low)}{_faults(found, low)}; it starts "
        f"first with {_things(found.move)} {found.words(high)}: {_when(found, high)}"
    )


def _things(move: str) -> str:
    return "the dampers" if move == "upper" else MOVES[move].label


def _faults(found: TrampMap, low: int) -> str:
    """Return what is wrong with the runs at the place that is advised, or at one that starts later still; empty for nothing."""
    if found.flags_at(low):
        return f" (FLAGGED, as every place that was run: {in_words(found.flags_at(low))})"
    later = found.latest(sound=False)
    # Of equals the first is named, so a flagged place that is no better is not worth a word.
    if not found.flags_at(later) or found.onset(later) >= found.onset(low):
        return ""
    return f" (later still but flagged {found.words(later)}: {in_words(found.flags_at(later))})"


def _bare(name: str) -> str:
    """Return a motion's name without its frequency at one place."""
    return name.split(" (")[0] + (", with which the pinion nods" if "nods" in name else "")


def capital(text: str) -> str:
    """Return a text with a capital letter in front."""
    return text[0].upper() + text[1:]
