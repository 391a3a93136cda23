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
