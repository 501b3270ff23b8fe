"""The shop's kinds of operation and their cautions."""

import pytest
import sqlalchemy as sa

from app.parts.models import KindRole, OperationKind
from app.parts.services import add_default_kinds
from tests.factories.parts import OperationKindFactory, RoutingOperationFactory

TYPED = {"name": "Grinding", "role": "station", "caution": "Wheel guard on.\r\nGlasses on."}


def kinds(session) -> list[tuple[str, KindRole, str]]:
    session.rollback()
    found = session.scalars(sa.select(OperationKind).order_by(OperationKind.id))
    return [(kind.name, kind.role, kind.caution) for kind in found]


def test_an_owner_adds_a_kind_with_its_cautions(as_owner, session):
    response = as_owner.post("/operation-kinds", data=TYPED)
    assert response.location == "/operation-kinds"
    assert kinds(session) == [("Grinding", KindRole.STATION, "Wheel guard on.\nGlasses on.")]
    page = as_owner.get("/operation-kinds").text
    assert "Wheel guard on." in page
    assert "codes and qualified people govern" in page


def test_an_owner_changes_the_cautions(as_owner, session):
    kind = OperationKindFactory(name="Milling")
    RoutingOperationFactory(kind=kind)
    assert 'value="Milling"' in as_owner.get(f"/operation-kinds/{kind.id}/edit").text
    response = as_owner.post(f"/operation-kinds/{kind.id}", data={**TYPED, "name": "milling"})
    assert response.status_code == 303
    assert kinds(session) == [("milling", KindRole.STATION, "Wheel guard on.\nGlasses on.")]


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"name": ""}, "Enter what the shop calls it, such as Milling."),
        ({"name": "x" * 61}, "Use 60 characters or fewer."),
        ({"name": "TURNING"}, "There is already a kind of operation called Turning."),
        ({"role": "magic"}, "Invalid Choice"),
        ({"caution": "x" * 401}, "one or two short lines are read"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field(as_owner, session, wrong, says):
    OperationKindFactory(name="Turning")
    own = OperationKindFactory(name="Honing")
    for path in ("/operation-kinds", f"/operation-kinds/{own.id}"):
        response = as_owner.post(path, data={**TYPED, **wrong})
        assert response.status_code == 422
        assert says in response.text
    assert [kind[0] for kind in kinds(session)] == ["Turning", "Honing"]


def test_what_a_kind_means_stays_while_routings_use_it(as_owner, session):
    kind = RoutingOperationFactory(kind__name="Milling").kind
    response = as_owner.post(f"/operation-kinds/{kind.id}", data={**TYPED, "name": "Milling", "role": "outside"})
    assert response.status_code == 422
    assert "Routings use Milling as it is. Add another kind for the other meaning." in response.text
    assert kinds(session)[0][1] is KindRole.STATION
    unused = OperationKindFactory(name="Honing")
    assert as_owner.post(f"/operation-kinds/{unused.id}", data={**TYPED, "role": "outside"}).status_code == 303


def test_the_usual_kinds_come_with_cautions_and_are_added_once(session):
    OperationKindFactory(name="milling", caution="Ours.")
    session.rollback()
    added = add_default_kinds(session)
    assert add_default_kinds(session) == []
    by_name = {name: (role, caution) for name, role, caution in kinds(session)}
    assert by_name["milling"] == (KindRole.STATION, "Ours.")
    assert "Milling" not in by_name
    assert by_name["Ordering blanks"][0] is KindRole.BLANKS
    assert by_name["Outside process"][0] is KindRole.OUTSIDE
    assert {"Drilling", "Turning", "Pressing", "Tumbling", "Inspection"} <= by_name.keys()
    assert len(added) == 7
    assert all(1 <= len(kind.caution.splitlines()) <= 2 for kind in added)


@pytest.mark.parametrize(
    ("name", "fact"),
    [
        ("Turning", "No gloves or loose sleeves"),  # 29 CFR 1910.212, guarding of turning parts
        ("Turning", "Safety glasses with side shields"),  # 29 CFR 1910.133, flying particles
        ("Drilling", "below 30 psi"),  # 29 CFR 1910.242(b), air for cleaning
        ("Milling", "lock out before reaching in"),  # 29 CFR 1910.147, lock-out
        ("Pressing", "Hands out of the press"),  # 29 CFR 1910.217, mechanical power presses
        ("Pressing", "hearing protection where posted"),  # 29 CFR 1910.95, noise
        ("Tumbling", "never reach into a moving drum"),  # 29 CFR 1910.212(a)(4), revolving drums
        ("Tumbling", "safety data sheet"),  # 29 CFR 1910.1200, hazard communication
        ("Ordering blanks", "use a hoist, a cart or a second person"),  # NIOSH 94-110, lifting
    ],
)
def test_the_usual_cautions_name_what_the_rules_are_about(session, name, fact):
    cautions = {kind.name: kind.caution for kind in add_default_kinds(session)}
    assert fact in cautions[name]


def test_an_empty_list_says_what_to_do_first(as_owner, as_operator):
    assert "Add what the shop does" in as_owner.get("/operation-kinds").text
    assert "An owner adds them." in as_operator.get("/operation-kinds").text


def test_only_owners_change_kinds(as_setup_lead, as_operator, session):
    kind = OperationKindFactory()
    for client in (as_setup_lead, as_operator):
        assert client.get("/operation-kinds").status_code == 200
        assert client.get("/operation-kinds/new").status_code == 403
        assert client.get(f"/operation-kinds/{kind.id}/edit").status_code == 403
        assert client.post("/operation-kinds", data=TYPED).status_code == 403
        assert client.post(f"/operation-kinds/{kind.id}", data=TYPED).status_code == 403
    assert len(kinds(session)) == 1


def test_a_kind_that_is_not_there_is_said_so(as_owner):
    assert as_owner.get("/operation-kinds/99/edit").status_code == 404
    assert as_owner.post("/operation-kinds/99", data=TYPED).status_code == 404
