"""How a number in doubt is found: common practice, no source."""

from sim.study.doubt.measuring import way

HIGH = "rear.dampers.main.valving.rebound.high"


def test_nobody_tests_a_damper_that_is_not_there_yet():
    assert way(HIGH).do == "have the rear damper 'main' tested"
    ordered = way(HIGH, is_fitted=False)
    assert ordered.do == "order the rear damper 'main' by its forces and have it tested when it comes"
    assert "jounce sheet" in ordered.how
    # What is no damper's law is measured the same, whoever brings it.
    assert way("rear.tyre.rate", is_fitted=False) == way("rear.tyre.rate")


def test_leaves_that_were_measured_are_not_to_be_measured_again_but_counted():
    """What is left of a pack whose leaves are given is how many of them reach both eyes: a look at it, fitted."""
    for key in ("rate_factor", "full_length_leaves"):
        one = way(f"rear.springs.pack.{key}")
        assert one.do == "count the leaves of the rear spring 'pack' that reach both eyes"
        assert "fitted" in one.how
    assert "tape and caliper" in way("rear.springs.pack.leaf_width").how
