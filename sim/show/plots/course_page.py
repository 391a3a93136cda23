"""The picture of a course: its profile, and its spectrum among the classes of ISO 8608."""

from math import isnan

import numpy as np
from matplotlib.figure import Figure

from sim.describe.roads.course import Course
from sim.describe.roads.random_road import CLASSES, REFERENCE, class_density
from sim.describe.shown import in_shown_units, show, show_short
from sim.measure.roughness import Roughness, places
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.envelope import envelope
from sim.show.plots.lettering import clean
from sim.show.plots.logarithmic import ByTens
from sim.show.plots.page import LEFT, TICK, TICK_LINE, TITLE, TITLE_LINE, WIDTH, Page
from sim.show.plots.scale import Scale, scale_of
from sim.show.plots.style import INK, MARK, ROAD, SOFT, drawing

RIGHT = WIDTH - 0.75
FREQUENCIES = (0.01, 10.0)
DENSITIES = (1e-10, 1e-1)


def figure(course: Course, found: Roughness) -> Figure:
    """Return the page of one course."""
    with drawing():
        # No legend and no flags: a course has no set-ups, and nothing was run.
        sheet = Page({})
        sheet.paragraph(_title(course, found), TITLE, TITLE_LINE, bold=True)
        sheet.bottom += 0.03
        sheet.paragraph(
            f"The index (IRI) is what one wheel with its spring feels at {show_short(80.0 / 3.6, 'road_speed', (0, 0))}, as its standard says, whatever "
            f"the speed up here. The class (ISO 8608) is that of waves of {show_short(2.0, 'distance', (0, 0))} to "
            f"{show_short(20.0, 'distance', (0, 0))}; a road of single bumps has an index, but strictly no class.",
            colour=SOFT,
        )
        # Before the pictures: a notice can change what they mean.
        for text in course.notices:
            sheet.paragraph(f"NOTICE: {in_shown_units(text)}.", TICK, TICK_LINE, most_lines=2)
        sheet.bottom += 0.1
        x = places(course)
        z = course.height(x)
        heading(sheet, "Height of the road", "length", LEFT, RIGHT)
        panel = sheet.panel(1.7, Scale(0.0, course.length_m, "distance", 9), scale_of([z], "length"), right=RIGHT)
        # A kilometre of road has far more points than the page has dots; no bump may be lost in thinning.
        panel.line(*envelope(x, z), color=INK, linewidth=1.4)
        sheet.bottom += 0.12
        heading(sheet, f"Roughness (IRI) of each {show_short(10.0, 'distance', (0, 0))}", "roughness", LEFT, RIGHT)
        # From zero: twice as high is to look twice as rough. A flat road still needs a range.
        highest = Scale(0.0, 1.1 * max(float(np.max(found.section_iri)), 1e-3), "roughness", 4)
        panel = sheet.panel(1.0, Scale(0.0, course.length_m, "distance", 9), highest, right=RIGHT)
        # A section has one index, so it is drawn as a step and not joined to its neighbour.
        panel.line(np.repeat(found.section_ends, 2)[1:-1], np.repeat(found.section_iri, 2), color=INK, linewidth=1.4)
        panel.level(found.iri, linestyle=(0, (4.0, 1.5)))
        ticks_below(sheet, panel, "Distance along the road; dashed: the whole road")
        sheet.bottom += 0.15
        _spectrum(sheet, found)
        return sheet.figure()


def _title(course: Course, found: Roughness) -> str:
    name = f"“{clean(course.name)}”"
    index = f"has a roughness of {show(found.iri, 'roughness')}"
    return f"{name} {index}" + (f", like a class {found.iso_class} road" if found.iso_class else "")


def _spectrum(made: Page, found: Roughness) -> None:
    # Both axes logarithmic: Gd(n) = Gd(n0) (n/n0)^-2 of ISO 8608 is then a straight line.
    low, high = (float(np.log10(n)) for n in FREQUENCIES)
    y = ByTens(float(np.log10(DENSITIES[0])), float(np.log10(DENSITIES[1])), "road_density")
    heading(
        made,
        "How strong waves of each length are, as ISO 8608 counts it; slanting lines part its classes",
        "road_density",
        LEFT,
        RIGHT,
    )
    panel = made.panel(3.0, ByTens(low, high, "per_length"), y, right=RIGHT)
    ends = np.array(FREQUENCIES)
    for name in CLASSES:
        # Classes are four times apart, so their limits lie half and double from the mean (ISO 8608).
        limits = class_density(name) * np.array([0.5, 2.0])
        if name != CLASSES[-1]:
            panel.line(np.log10(ends), np.log10(limits[1] * (ends / REFERENCE) ** -2), color=ROAD, linewidth=0.8)
        at = np.log10(class_density(name) * (FREQUENCIES[1] / REFERENCE) ** -2)
        made.text(RIGHT + 0.1, panel.y_in(float(at)), name, TICK, colour=SOFT)
    # A road of single pieces has densities of next to nothing, which would drag the line out of the panel.
    seen = (found.frequency > FREQUENCIES[0]) & (found.frequency < FREQUENCIES[1]) & (found.density > DENSITIES[0])
    panel.line(np.log10(found.frequency[seen]), np.log10(found.density[seen]), color=INK, linewidth=1.3)
    # Waves of 2 to 20 m: the band from which the class is taken, 0.05 to 0.5 per metre.
    if not isnan(found.at_reference):
        band = np.array([0.05, 0.5])
        fitted = np.log10(found.at_reference * (band / REFERENCE) ** -2)
        panel.line(np.log10(band), fitted, color=MARK, linewidth=2.4, linestyle=(0, (4.0, 1.5)))
    ticks_below(made, panel, "Waves per length; dashed: the line that gives the class", rows=1)
