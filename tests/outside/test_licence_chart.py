"""What may stand on what, against the adapter's licence chart of Creative Commons.

Source: Creative Commons, Frequently Asked Questions, "If I derive or adapt material offered under a
Creative Commons license, which CC license(s) can I use?"; the chart as the Eastern Florida State
College library gives it (libguides.easternflorida.edu, "Selecting a License for When
Adapting/Remixing Materials"). The two one-way ways out of CC BY-SA 4.0 are from memory.
"""

import pytest

from kb.licences import Fit, fit

CHART = {
    "CC0-1.0": "BY BY-NC BY-NC-ND BY-NC-SA BY-ND BY-SA 0",
    "CC-BY-4.0": "BY BY-NC BY-NC-ND BY-NC-SA BY-ND BY-SA",
    "CC-BY-NC-4.0": "BY-NC BY-NC-ND BY-NC-SA",
    "CC-BY-NC-SA-4.0": "BY-NC-SA",
    "CC-BY-SA-4.0": "BY-SA",
    "CC-BY-ND-4.0": "",
    "CC-BY-NC-ND-4.0": "",
}
OVER = {
    "0": "CC0-1.0",
    **{kind: f"CC-{kind}-4.0" for kind in ("BY", "BY-NC", "BY-NC-ND", "BY-NC-SA", "BY-ND", "BY-SA")},
}


@pytest.mark.parametrize("base", CHART)
@pytest.mark.parametrize("over", OVER)
def test_the_chart_is_followed(base: str, over: str) -> None:
    may = over in CHART[base].split()
    assert fit(base, OVER[over])[0] is (Fit.YES if may else Fit.NO)


@pytest.mark.parametrize(
    "base, over, how",
    [
        ("CC-BY-SA-3.0", "CC-BY-SA-4.0", Fit.YES),  # a later version of the same
        ("CC-BY-SA-4.0", "CC-BY-SA-3.0", Fit.NO),
        ("CC-BY-NC-SA-2.5", "CC-BY-NC-SA-4.0", Fit.YES),
        ("CC-BY-3.0-DE", "CC-BY-4.0", Fit.YES),  # a ported one, by its SPDX name
        ("cc-by-4.0", "CC-by-sa-4.0", Fit.YES),  # SPDX names are read in any case
        ("CC-BY-SA-4.0", "GPL-3.0-or-later", Fit.YES),  # from memory
        ("CC-BY-SA-3.0", "GPL-3.0-or-later", Fit.NO),
        ("CC-BY-SA-4.0", "MIT", Fit.NO),
        ("CC-BY-4.0", "", Fit.NO),
        ("CC-BY-ND-4.0", "", Fit.NO),
        ("CC-BY-4.0", "MIT", Fit.UNKNOWN),
        ("CC0-1.0", "", Fit.YES),
        ("", "CC-BY-4.0", Fit.UNKNOWN),
        ("", "", Fit.UNKNOWN),
        ("MIT", "CC-BY-4.0", Fit.UNKNOWN),
        ("CC-BY-5.0", "CC-BY-4.0", Fit.UNKNOWN),
        ("all rights reserved", "CC0-1.0", Fit.UNKNOWN),
    ],
)
def test_versions_waivers_and_what_nobody_knows(base: str, over: str, how: Fit) -> None:
    said, why = fit(base, over)
    assert said is how
    assert why.endswith("That is orientation and no legal advice.")
