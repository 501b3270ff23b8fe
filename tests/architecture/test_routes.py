"""Every route says who may use it, and no page shows a stack trace."""

import inspect

import pytest
from werkzeug.exceptions import MethodNotAllowed

from app import assembly, create_app
from app.config import Config

EXEMPT = {"static"}


@pytest.fixture(scope="module")
def routes(tmp_path_factory):
    config = Config("sqlite://", tmp_path_factory.mktemp("data"), "for tests", testing=True)
    app = create_app(config)
    return app, [rule for rule in app.url_map.iter_rules() if rule.endpoint not in EXEMPT]


def test_each_route_declares_who_may_use_it(routes):
    app, rules = routes
    silent = [rule.endpoint for rule in rules if not hasattr(app.view_functions[rule.endpoint], "who_may_use")]
    assert silent == []


def test_an_endpoint_is_named_after_its_area_and_function(routes):
    app, rules = routes
    odd = []
    for rule in rules:
        view = inspect.unwrap(app.view_functions[rule.endpoint])
        area, _, name = rule.endpoint.partition(".")
        if name != view.__name__ or not view.__module__.startswith(f"app.{area}.views"):
            odd.append(rule.endpoint)
    assert odd == []


def test_views_are_thin(routes):
    app, rules = routes
    lengths = sorted(
        len(inspect.getsource(inspect.unwrap(app.view_functions[rule.endpoint])).splitlines()) for rule in rules
    )
    assert lengths[len(lengths) // 2] <= 14  # with decorators and docstring
    assert lengths[-1] <= 45


def test_a_change_from_another_sites_page_is_refused(client, session):
    answer = client.post("/sign-out", headers={"Origin": "http://elsewhere.example"})
    assert answer.status_code == 403
    assert "another site" in answer.text


def test_pages_carry_the_headers_that_keep_them_to_themselves(as_owner):
    headers = as_owner.get("/lots").headers
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert (headers["X-Content-Type-Options"], headers["Referrer-Policy"]) == ("nosniff", "same-origin")


@pytest.mark.parametrize("path", ["/nothing-here", "/lots/abc", "/lots/99999999999999999999"])
def test_an_address_that_does_not_exist_is_said_plainly(as_owner, path):
    answer = as_owner.get(path)
    assert answer.status_code == 404
    assert "There is nothing at this address." in answer.text or "There is no" in answer.text


def test_a_mistake_of_the_program_shows_a_sentence_and_no_trace(app, as_owner, monkeypatch):
    app.config.update(TESTING=False, PROPAGATE_EXCEPTIONS=False)
    monkeypatch.setitem(app.error_handler_spec[None][None], Exception, assembly._own_mistake)
    monkeypatch.setitem(app.view_functions, "lots.lots", lambda: 1 / 0)
    answer = as_owner.get("/lots")
    assert answer.status_code == 500
    assert "Lotwright made a mistake" in answer.text
    assert "Traceback" not in answer.text
    assert "ZeroDivisionError" not in answer.text


def test_a_get_to_a_changing_address_says_how_it_is_used(as_owner):
    answer = as_owner.get("/lots/1/hold")
    assert answer.status_code == MethodNotAllowed.code
    assert "only answers the form" in answer.text
