"""What is shipped hangs together."""

import itertools

import pytest

from finplan.library.load import (
    cautions,
    find_finish,
    find_template,
    finishes,
    grits,
    templates,
    upkeep_defaults,
    woods,
)
from finplan.trade.cautions import cautions_for
from finplan.trade.errors import BadInput
from finplan.trade.finish_checks import check_finish
from finplan.trade.finishes import Chemistry, Stage
from finplan.trade.grits import Verdict, check_progression, parse_grit
from finplan.trade.schedules import expand, goes_on_wet
from finplan.trade.steps import Step, StepKind
from finplan.trade.upkeep import Exposure, renewal_months
from finplan.trade.woods import find_wood

FINISHES = [pytest.param(finish, id=name) for name, finish in finishes().items()]


def test_enough_is_there():
    assert len(finishes()) >= 15
    assert len(templates()) >= 8
    assert len(woods()) >= 13
    assert len(grits()) == 48
    assert {finish.chemistry for finish in finishes().values()} == set(Chemistry)


@pytest.mark.parametrize("finish", FINISHES)
def test_a_finish_is_whole(finish):
    assert set(finish.stages) == set(Stage)
    for span in finish.stages.values():
        assert 0 < span.low <= span.high
        assert span.source
    check_finish(finish)
    assert set(finish.cautions) <= set(cautions())
    assert finish.methods
    assert finish.cans_l == tuple(sorted(finish.cans_l))
    assert finish.name == finish.name.lower()


@pytest.mark.parametrize("finish", FINISHES)
def test_stages_come_in_their_usual_order(finish):
    stages = dict(finish.stages)
    if goes_on_wet(finish):  # its next coat belongs on the wet one
        del stages[Stage.DRY_TO_RECOAT]
    for earlier, later in itertools.pairwise(stages.values()):
        assert earlier.low <= later.low
        assert earlier.high <= later.high


def test_only_the_stain_goes_on_wet():
    assert [name for name, one in finishes().items() if goes_on_wet(one)] == [
        "semitransparent stain"
    ]


@pytest.mark.parametrize("finish", FINISHES)
def test_what_oxidises_warns_of_rags(finish):
    coat = Step("coat-1", StepKind.COAT, "Coat", 1, finish=finish.name)
    said = {caution.key for caution in cautions_for(coat, finish, cautions())}
    assert ("oily rags" in said) is (finish.chemistry is Chemistry.OXIDATIVE)
    assert "label governs" in said


def test_templates_use_what_there_is():
    for template in templates().values():
        finish = find_finish(template.finish, finishes())
        assert template.method in finish.methods
        assert finish.coats.low <= template.coats.value <= finish.coats.high + 1
        chosen = [parse_grit(name, grits()) for name in template.grits]
        assert all(step.verdict is Verdict.GOOD for step in check_progression(chosen))
        keys = {step.key for step in expand(template, finish)}
        assert set(template.notes) <= keys


def test_cautions_stand_at_their_steps():
    tung, known = finishes()["raw tung oil"], cautions()

    def said(kind, finish):
        return {caution.key for caution in cautions_for(Step("x", kind, "x"), finish, known)}

    assert said(StepKind.SAND, None) == {"wood dust"}
    assert said(StepKind.SCUFF, tung) == {"oily dust", "wood dust"}
    assert said(StepKind.SCUFF, finishes()["dewaxed shellac"]) == {"wood dust"}
    assert "isocyanate" in said(StepKind.COAT, finishes()["two-component polyurethane"])
    assert "slippery" in said(StepKind.INSTALL, tung)
    assert said(StepKind.TURN, tung) == set()
    named = Step("x", StepKind.TURN, "x", cautions=("slippery",))
    assert [one.key for one in cautions_for(named, None, known)] == ["slippery"]


def test_finding_a_finish():
    assert find_finish("Hardwax  Oil", finishes()).name == "hardwax oil"
    with pytest.raises(BadInput, match=r"no finish 'hardwaks oil' .did you mean 'hardwax oil'"):
        find_finish("hardwaks oil", finishes())
    with pytest.raises(BadInput, match="finplan finishes"):
        find_finish("zzz" * 100, finishes(), "--finish")


def test_finding_a_template():
    assert find_template("varnished door").finish == "spar varnish"
    with pytest.raises(BadInput, match="did you mean 'varnished door'"):
        find_template("varnish door")


def test_finding_a_wood():
    assert find_wood("Robinia", woods()).name == "black locust"
    assert find_wood("western red-cedar", woods()).name == "western redcedar"
    assert find_wood("balsa", woods()) is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("120", "can be P120 or CAMI 120"),
        ("P121", "there is no grit P121"),
        ("fine", "is no grit"),
        ("P120 CAMI", "is no grit"),
        ("9" * 100, "is no grit"),
    ],
)
def test_grits_refused(text, said):
    with pytest.raises(BadInput, match=said):
        parse_grit(text, grits())


@pytest.mark.parametrize(("text", "name"), [("p 120", "P120"), ("120 cami", "CAMI 120")])
def test_grits_understood(text, name):
    assert parse_grit(text, grits()).name == name


def test_upkeep():
    defaults = upkeep_defaults()
    oil = finishes()["penetrating oil"]
    flat = renewal_months(oil, [Exposure.FLAT], defaults)
    # from memory, unverified: oil lying flat in full sun lasts 3 to 12 months
    assert (flat.low, flat.high) == (3, 12)
    wet = renewal_months(oil, [Exposure.FLAT, Exposure.WET_OR_TRODDEN], defaults)
    assert wet.high == 6
    assert "no published value" in wet.source
    wax = finishes()["hardwax oil"]
    assert renewal_months(wax, [], defaults) is None
    assert renewal_months(wax, [Exposure.INDOORS], defaults).low == 12
    assert renewal_months(finishes()["spar varnish"], [], defaults).high == 24
    assert set(defaults.indoor_months) <= set(finishes())
