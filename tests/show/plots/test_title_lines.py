"""Which sentences of a long finding are the title of a picture: the first ones, whole, and none is lost."""

import pytest

from sim.show.plots.title_lines import fits_title, in_sentences

FIRST = "With “as fitted” the rear axle hops: it winds up by 11.2 deg; all others hop too."
SECOND = "Against “as fitted”, “stiff pack” winds its rear axle up 42 % less and leaves 16 mm (0.6 in) more travel to its rear bump stops; grip is the same."
LONG = f"Against “as fitted”, {', '.join(f'“stiff pack of {leaves} leaves” winds its rear axle up less' for leaves in range(5, 25))}."


@pytest.mark.parametrize(
    ("sentences", "most_lines", "in_the_title"),
    [
        ((FIRST,), 2, 1),
        ((FIRST, SECOND), 5, 2),
        ((FIRST, SECOND), 2, 1),
        ((FIRST, SECOND, SECOND), 4, 2),
        # too long by itself: there is no other to begin with
        ((LONG, FIRST), 5, 1),
    ],
)
def test_whole_sentences_are_the_title_and_the_others_follow(sentences, most_lines, in_the_title):
    title, further = in_sentences(" ".join(sentences), most_lines)
    assert title == " ".join(sentences[:in_the_title]).removesuffix(".")
    assert further == " ".join(sentences[in_the_title:])
    assert fits_title(title, most_lines) == (LONG not in sentences)
