"""A control plan: what is typed is kept with its digits, and what makes no sense is refused beside its field."""

from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.core.quality.frequencies import EveryPiece, TimesAShift
from app.parts.models import Characteristic, PlanHead, QualitySwitches, Revision
from tests.factories.lots import make_routing
from tests.factories.quality import CharacteristicFactory

BORE = {
    "number": "3",
    "operation_number": "20",
    "name": "Bore",
    "kind": "measured",
    "concerns": "product",
    "nominal": "0.500",
    "lower": "0.4995",
    "upper": "0.5005",
    "tolerance_class": "",
    "unit": "in",
    "gauge_kind": "Bore gauge",
    "checking_kind": "every piece",
    "recording_kind": "times a shift",
    "recording_number": "3",
    "first_piece": "y",
    "reaction_plan": "Stop.\nCall the setup lead.",
}


@pytest.fixture
def revision_id(session):
    return make_routing().revision_id


def add(client, revision_id, **typed):
    return client.post(f"/parts/revisions/{revision_id}/characteristics", data=BORE | typed)


def stored(session):
    session.rollback()
    return session.scalars(sa.select(Characteristic)).all()


def test_a_characteristic_is_kept_as_typed_and_shown(as_setup_lead, session, revision_id):
    assert add(as_setup_lead, revision_id).status_code == 303
    [kept] = stored(session)
    assert [str(each) for each in (kept.limits.nominal, kept.limits.lower, kept.limits.upper)] == [
        "0.5000",
        "0.4995",
        "0.5005",
    ]
    assert (kept.checking, kept.recording) == (EveryPiece(), TimesAShift(3))
    assert kept.gauge_kind.name == "Bore gauge"
    page = as_setup_lead.get(f"/parts/revisions/{revision_id}/control-plan").text
    for words in (
        "0.4995 to 0.5005 in",
        "every piece",
        "3 times a shift",
        "the first must pass",
        "Call the setup lead.",
    ):
        assert words in page


def test_a_tolerance_class_gives_both_limits(as_setup_lead, session, revision_id):
    """H7 of 25 mm: 0 to +21 um (JIS B 0401:1999, as in tests/published)."""
    typed = {"nominal": "25", "lower": "", "upper": "", "tolerance_class": "H7", "unit": "mm"}
    assert add(as_setup_lead, revision_id, **typed).status_code == 303
    [kept] = stored(session)
    assert (kept.lower, kept.upper, kept.nominal) == (Decimal(25), Decimal("25.021"), Decimal(25))
    assert kept.tolerance_class == "25 H7"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"lower": "0.5005", "upper": "0.4995"}, "is above the upper limit"),
        ({"nominal": "0.6"}, "lies outside its limits"),
        ({"lower": "", "upper": ""}, "Type a lower or an upper limit"),
        ({"lower": "half"}, "Type a number with a decimal point"),
        ({"upper": "9" * 10_000}, "at most 9 digits before the point"),
        ({"recording_number": "0"}, "It must be 1 or more."),
        ({"recording_number": "1.5"}, "Type a whole number"),
        ({"recording_kind": "every nth", "recording_number": ""}, "It must be 1 or more."),
        ({"operation_number": "90"}, "Not a valid choice"),
        ({"tolerance_class": "H7"}, "not both"),
        ({"tolerance_class": "H7", "lower": "", "upper": ""}, "Set the unit to mm"),
        ({"tolerance_class": "H7", "lower": "", "upper": "", "unit": "mm", "nominal": "80"}, "up to 50 mm"),
        ({"tolerance_class": "H7", "lower": "", "upper": "", "nominal": ""}, "Type the nominal size"),
        ({"name": ""}, "Enter what is measured"),
    ],
)
def test_what_makes_no_sense_is_refused_and_nothing_typed_is_lost(as_setup_lead, session, revision_id, typed, sentence):
    answer = add(as_setup_lead, revision_id, **typed)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert "Call the setup lead." in answer.text
    assert stored(session) == []


def test_a_number_is_given_once_in_a_revision(as_setup_lead, session, revision_id):
    add(as_setup_lead, revision_id)
    answer = add(as_setup_lead, revision_id, name="Other")
    assert answer.status_code == 422
    assert "has a characteristic 3 already" in answer.text


def test_samples_are_offered_once_they_are_switched_on(as_setup_lead, session, revision_id):
    new = f"/parts/revisions/{revision_id}/characteristics/new"
    assert "ISO 2859-1" not in as_setup_lead.get(new).text
    session.scalars(sa.select(QualitySwitches)).one().sampling = True
    session.commit()
    assert "ISO 2859-1" in as_setup_lead.get(new).text
    answer = add(as_setup_lead, revision_id, recording_kind="by lot size", recording_number="1.1")
    assert "The standard has plans for these quality limits" in answer.text
    assert add(as_setup_lead, revision_id, recording_kind="by lot size", recording_number="1.0").status_code == 303


def test_a_retired_one_leaves_the_plan_and_its_number_is_free(as_setup_lead, session, revision_id):
    add(as_setup_lead, revision_id)
    [kept] = stored(session)
    assert as_setup_lead.post(f"/parts/characteristics/{kept.id}/retire").status_code == 303
    assert add(as_setup_lead, revision_id).status_code == 303
    changed = as_setup_lead.get(f"/parts/characteristics/{kept.id + 1}/edit").text
    assert 'value="0.4995"' in changed


def test_the_plan_says_for_which_phase_it_is_who_answers_and_when_it_was_changed(as_setup_lead, session, revision_id):
    address = f"/parts/revisions/{revision_id}/control-plan"
    add(as_setup_lead, revision_id)
    page = " ".join(as_setup_lead.get(address).text.split())
    assert as_setup_lead.person.name in page.split("Changed", 1)[1]
    head = {"phase": "pre-launch", "contact": "Ina Brook, inspection", "customer": "Kell approval 12"}
    assert as_setup_lead.post(address, data=head).status_code == 303
    refused = as_setup_lead.post(address, data={**head, "contact": "x" * 121, "phase": "never"})
    assert (refused.status_code, "Use 120 characters or fewer" in refused.text) == (422, True)
    form = {"label": "B", "blank_source": "vendor", "blank_form": "piece", "pieces_per_unit": "1"}
    part_id = session.get_one(Revision, revision_id).part_id
    as_setup_lead.post(f"/parts/{part_id}/revisions", data=form)
    session.rollback()
    heads = session.scalars(sa.select(PlanHead).order_by(PlanHead.id)).all()
    assert [(each.phase.value, each.contact, each.customer) for each in heads] == [tuple(head.values())] * 2


def test_the_next_revision_takes_the_plan_over(as_setup_lead, session):
    routing = make_routing()
    CharacteristicFactory(revision=routing.revision)
    form = {"label": "B", "blank_source": "vendor", "blank_form": "piece", "pieces_per_unit": "1"}
    assert as_setup_lead.post(f"/parts/{routing.revision.part_id}/revisions", data=form).status_code == 303
    assert [each.revision_id == routing.revision_id for each in stored(session)] == [True, False]


def test_an_operator_reads_the_plan_and_changes_nothing(as_operator, revision_id):
    assert as_operator.get(f"/parts/revisions/{revision_id}/control-plan").status_code == 200
    assert add(as_operator, revision_id).status_code == 403
