"""What goes into a report: escaped text, both unit systems, plots without styles of their own, a policy that fits."""

import re
from base64 import b64encode
from hashlib import sha256
from html.parser import HTMLParser

import pytest
from markupsafe import Markup

from sim.describe.shown import SHOWN, show
from sim.show.looks import looks
from sim.show.pages.report.parts import Both, Picture, Pictures, Report, Row, Table, Words
from sim.show.pages.report.picture import picture
from sim.show.pages.report.render import SCRIPTS, bundled, rendered
from sim.show.pages.report.told import sheet_table
from sim.show.pages.report.units import cell, figures, in_both

ODD = '<b>"it\'s" & so on</b>\n</script><script>'


class Read(HTMLParser):
    """Reads a page: its text, its tags, and whether every tag that was opened is closed."""

    # Elements that have no end (HTML standard, "void elements").
    VOID = frozenset({"meta", "link", "input", "img", "br", "hr"})

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.open, self.tags, self.words, self.attributes = [], [], [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, name, value) for name, value in attrs]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, name, value) for name, value in attrs]

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)


def page(*sections, **more):
    return rendered(
        Report(**{"title": "Which?", "subject": "", "verdict": ["This."], "warning": "", "sections": sections} | more)
    )


def test_every_text_is_escaped():
    own = looks([ODD])
    table = Table(ODD, [ODD], [Row(ODD), Row(ODD, [Both(ODD, ODD, ODD, ODD)], own[ODD])], ODD, own, ODD, numbers=True)
    read = Read(
        page(
            table, Words(ODD, [ODD]), Words(ODD, [ODD], points=True), title=ODD, subject=ODD, verdict=[ODD], warning=ODD
        )
    )
    assert not read.open
    assert "b" not in read.tags
    assert "script" not in read.tags
    # Title twice, subject, verdict, warning, three headings with their names in the contents, and what the sections hold.
    assert sum('<b>"it\'s" & so on</b>' in words for words in read.words) >= 15


@pytest.mark.parametrize("quantity", [quantity for quantity, rows in SHOWN.items() if len(rows) > 1])
def test_both_figures_of_a_text_are_marked(quantity):
    text = in_both(f"leaves {show(0.5, quantity)} less")
    (_, metric, _), (_, inch, _) = SHOWN[quantity]
    found = re.fullmatch(
        r'leaves <span class="metric">(.*?)</span><span class="inch"><span class="both"> \(</span>(.*?)<span class="both">\)</span></span> less',
        str(text),
    )
    assert found, text
    assert found.group(1).endswith(metric)
    assert found.group(2).endswith(inch)


def test_the_line_of_the_run_and_a_unit_as_files_have_it_are_marked_too():
    """Whoever chooses metric reads no mph at the head of the page, and no lb ft² beside an inertia that is quoted from the file."""
    assert (
        '<span class="inch">'
        in page(subject="Hut track at 20.0 km/h (12.4 mph)").partition('class="subject"')[2].partition("</p>")[0]
    )
    assert in_both("about 2630 kg m^2 (62411 lb ft²) +- 660 kg m^2 (15662 lb ft²)").count('class="metric"') == 2


def test_ranges_and_heads_are_marked_and_other_brackets_are_not():
    assert in_both("220 to 310 N/mm (1256 to 1770 lb/in)").count("metric") == 1
    assert re.sub("<[^>]*>", "", in_both("Travel [mm (in)]")) == "Travel [mm (in)]"
    assert in_both("Travel [mm (in)]").startswith('Travel [<span class="metric">mm</span>')
    for plain in ("(linear view)", "3 (of 8)", "five (5) mm", "a set-up (flagged)"):
        assert in_both(plain) == plain


def test_figures_are_rounded_as_everywhere():
    assert figures(0.0635, "length") == ("63.5", "2.50")
    assert figures(-0.0000001, "length") == ("0.0", "0.00")
    assert figures(293.15, "temperature") == ("20", "68")
    assert figures(0.25, "percent") == ("25.0", "")
    assert cell(Both("63.5", "2.50", "◄")).count("◄") == 1


def test_a_table_of_many_columns_is_laid_out_as_several():
    columns = [f"set-up {n}" for n in range(7)]
    table = Table("Figures", columns, [Row("a", list("1234567")), Row("group")], numbers=True)
    assert [part.columns for part in table.parts] == [columns[:4], columns[4:]]
    assert [list(part.rows[0].cells) for part in table.parts] == [list("1234"), list("567")]
    assert len(Table("Words", columns, []).parts) == 1


def plot(tmp_path, name):
    from matplotlib.figure import Figure

    from sim.show.plots.save import svg
    from sim.show.plots.style import drawing

    with drawing():
        figure = Figure()
        axes = figure.add_subplot()
        axes.plot([0, 1], [0, 1], marker="o", linestyle="--")
        axes.set_title("Up & <down>", fontweight="bold")
        axes.add_patch(
            __import__("matplotlib.patches", fromlist=["Rectangle"]).Rectangle(
                (0, 0), 1, 1, fc="none", gid="along_time_0_12.5_1_2"
            )
        )
        return svg(figure, tmp_path / name)


def test_plots_lose_their_styles_and_keep_their_looks(tmp_path):
    first, second = picture(plot(tmp_path, "one")), picture(plot(tmp_path, "two"))
    assert first.words == "Up & <down>"
    text = str(first.svg)
    assert "style" not in text
    assert "stroke-dasharray" in text
    assert 'font-size="' in text
    assert 'data-quantity="time" data-low="0" data-high="12.5"' in text
    read = Read(page(Pictures("Pictures", [first, second])))
    assert not read.open
    ids = [value for _, name, value in read.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    # Whatever is pointed at is there.
    pointed = {value.removeprefix("#") for tag, name, value in read.attributes if tag == "use" and name == "href"}
    pointed |= {v[5:-1] for _, name, v in read.attributes if name == "clip-path"}
    assert pointed
    assert pointed <= set(ids)


def test_the_policy_allows_the_pages_own_script_and_style_alone():
    text = page(Pictures("Pictures", [Picture(Markup("<svg></svg>"), "x", "x")]))
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', text).group(1).replace("&#39;", "'")
    for tag, directive in (("style", "style-src"), ("script", "script-src")):
        body = re.search(rf"<{tag}[^>]*>(.*?)</{tag}>", text, re.DOTALL).group(1)
        digest = b64encode(sha256(body.encode()).digest()).decode()
        assert f"{directive} 'sha256-{digest}'" in policy
    assert "script-src 'none'" in page(Words("a", ["b"])).replace("&#39;", "'")


def test_modules_become_one_script():
    text = bundled(*SCRIPTS)
    assert not re.search(r"^(import|export)\b", text, re.MULTILINE)
    assert text.count("class TruckView") == 1


def test_an_order_sheet_is_read_from_its_file(tmp_path):
    path = tmp_path / "front.csv"
    path.write_text(
        'section,what,metric,inch\n1 Job,"truck, set-up",A truck,\n2 Lengths,stroke,335.0 mm,13.19 in\n2 Lengths,bush,__________,__________\nnote,"Hot, dampers burn.",,\n',
        encoding="utf-8",
    )
    table = sheet_table(path, "Order")
    assert [row.head for row in table.rows] == ["1 Job", "truck, set-up", "2 Lengths", "stroke", "bush"]
    assert table.rows[3].cells == [Both("335.0 mm", "13.19 in")]
    assert table.rows[4].cells == [Both("__________")]
    assert table.note == "Hot, dampers burn."
