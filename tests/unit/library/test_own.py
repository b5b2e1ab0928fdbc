"""A user's own finishes from label values."""

import pytest

from finplan.library.load import finishes
from finplan.library.own import parse_own_finishes
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage

SHED_OIL = """
[finish."Shed Oil"]
like = "penetrating oil"
price_per_l = 24.5
spread = "400 ft²/gal"
coldest_c = 12
coats = { low = 3, high = 4 }
cans_l = [2.5, 0.5]
[finish."Shed Oil".label]
touch = "6 h"
recoat = "24 h"
cure = "10 d"
"""


def test_an_own_finish():
    (oil,) = parse_own_finishes(SHED_OIL, "own.toml")
    base = finishes()["penetrating oil"]
    assert (oil.name, oil.title, oil.own) == ("shed oil", "Shed Oil", True)
    assert oil.chemistry is base.chemistry
    assert oil.price_per_l == 24.5
    assert oil.spread_first_m2_per_l.low == pytest.approx(9.817, abs=1e-3)
    assert oil.coldest_c.value == 12
    assert oil.coldest_c.source == "own.toml, finish 'Shed Oil'"
    assert oil.coats.high == 4
    assert oil.cans_l == (0.5, 2.5)
    assert oil.cautions == base.cautions


def test_label_times_at_reference_conditions_are_the_safe_ones():
    (oil,) = parse_own_finishes(SHED_OIL, "own.toml")
    assert oil.stages[Stage.DRY_TO_RECOAT].high == pytest.approx(24)
    assert oil.stages[Stage.FULL_CURE].high == pytest.approx(240)
    assert all(span.high <= 240 for span in oil.stages.values())


def test_label_times_in_the_cold_are_shorter_at_reference_conditions():
    cold = SHED_OIL + 'temperature = "50 F"\nhumidity = "50 %"\n'
    (oil,) = parse_own_finishes(cold, "own.toml")
    assert 24 / 4 < oil.stages[Stage.DRY_TO_RECOAT].high < 24 / 2


def test_a_label_in_other_units():
    text = SHED_OIL.replace("price_per_l = 24.5", 'price = "38.50 per qt"')
    text = text.replace("coldest_c = 12", 'coldest = "50 °F"\nwarmest = "90 °F"')
    text = text.replace("cans_l = [2.5, 0.5]", 'cans = ["1 gal", "1 qt"]')
    (oil,) = parse_own_finishes(text + 'temperature = "70 °F"\n', "own.toml")
    assert oil.price_per_l == pytest.approx(38.5 / 0.946353, rel=1e-6)
    assert oil.cans_l == pytest.approx((0.946353, 3.785412), rel=1e-6)
    assert (oil.coldest_c.value, oil.warmest_c.value) == pytest.approx((10, 32.222222))
    assert "at 21.1 °C and 50 %" in oil.stages[Stage.DRY_TO_RECOAT].source


def test_nothing_but_a_class():
    (mine,) = parse_own_finishes('[finish.mine]\nlike = "Spar Varnish"', "own.toml")
    assert mine.stages == finishes()["spar varnish"].stages
    assert parse_own_finishes("", "own.toml") == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[", "own.toml: is not TOML"),
        ("a = 1", "own.toml: there is no field 'a'"),
        ("finish = 3", "'finish' must be a table"),
        ("[finish]\nx = 3", "'x' must be a table"),
        ("[finish.x]", "finish 'x': 'like' must be a text"),
        ('[finish.x]\nlike = "spar varnich"', "like: .*did you mean 'spar varnish'"),
        ('[finish.x]\nlike = "spar varnish"\ncolest_c = 3', "did you mean 'coldest_c'"),
        ('[finish.x]\nlike = "spar varnish"\ncoldest_c = "cold"', "'coldest_c' must be a number"),
        ('[finish.x]\nlike = "spar varnish"\ncoldest_c = nan', "'coldest_c' must be a number"),
        ('[finish.x]\nlike = "spar varnish"\nprice_per_l = -1', "give 0 or more"),
        ('[finish.x]\nlike = "spar varnish"\nspread = "10 m"', "x', spread: spread rate '10 m'"),
        ('[finish.x]\nlike = "spar varnish"\ncoats = { low = 4, high = 2 }', "low must be"),
        ('[finish.x]\nlike = "spar varnish"\ncoats = 0', "x', coats: 0: give 1 to 50"),
        (
            '[finish.x]\nlike = "spar varnish"\nspread_first_m2_per_l = 0',
            "spread_first_m2_per_l: 0: give 0.1",
        ),
        ('[finish.x]\nlike = "spar varnish"\ncoldest_c = 40', "warmest 30 °C: they must rise"),
        ('[finish.x]\nlike = "spar varnish"\nwindow_closes_hours = -3', "closes_hours: -3"),
        (
            '[finish.x]\nlike = "spar varnish"\n[finish.x.label]\nrecoat = "24 h"\nwindow = "12 h"',
            "closes at 12 h, before the next coat may go on at 24 h",
        ),
        ('[finish.x]\nlike = "spar varnish"\ndampest_air_percent = 140', "140: give 1 to 100"),
        ('[finish.x]\nlike = "spar varnish"\ncans_l = [0]', "more than 0 litres"),
        ('[finish.x]\nlike = "spar varnish"\ncans_l = 3', "must be a table"),
        ('[finish.x]\nlike = "spar varnish"\ncans = ["3"]', "cans: volume '3' has no unit"),
        ('[finish.x]\nlike = "spar varnish"\nprice = "30"', "'price' '30' can't be read"),
        ('[finish.x]\nlike = "spar varnish"\nprice = "30 per kg"', "price: volume '1 kg' has no"),
        ('[finish.x]\nlike = "spar varnish"\ncoldest = "50"', "coldest: .* has no unit"),
        ('[finish.x]\nlike = "spar varnish"\nmethods = "brush"', "must be a list of texts"),
        ('[finish.x]\nlike = "spar varnish"\n[finish.x.label]\nrecoat = "3"', "is no time"),
        ('[finish.x]\nlike = "spar varnish"\n[finish.x.label]\nrecoat = 3', "must be a text"),
        ('[finish.x]\nlike = "spar varnish"\n[finish.x.label]\nrecaot = "3 h"', "mean 'recoat'"),
        (
            '[finish.x]\nlike = "spar varnish"\n[finish.x.label]\nrecoat = "3 h"\n'
            'temperature = "300 °C"',
            "label, temperature: .*outside",
        ),
        ('[finish.x]\nlike = "spar varnish"\n[finish.x.label]\nhumidity = "50 %"', "no time from"),
        ('[finish."a\\u001b"]\nlike = "spar varnish"', "invisible character"),
    ],
)
def test_refused(text, said):
    with pytest.raises(BadInput, match=said) as caught:
        parse_own_finishes(text, "own.toml")
    assert str(caught.value).startswith("own.toml")
    assert "\n" not in str(caught.value)
