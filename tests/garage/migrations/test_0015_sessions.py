"""What the release before left: browsers that are logged in, and one that has half a booking."""

from importlib import import_module

import pytest
from django.apps import apps
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends import db
from django.db import connection
from django.test import Client
from django.urls import reverse

from garage.models.sessions import BrowserSession, SessionStore
from tests.factories import garage

pytestmark = pytest.mark.django_db
migration = import_module("garage.migrations.0015_sessions")


def old_session(**held):
    session = db.SessionStore()
    session.update(held)
    session.create()
    return session.session_key


def test_nobody_is_logged_out_and_a_booking_half_typed_stays(settings):
    garage.shop()
    person = garage.person()
    logged_in = old_session(
        **{
            SESSION_KEY: str(person.pk),
            BACKEND_SESSION_KEY: "django.contrib.auth.backends.ModelBackend",
            HASH_SESSION_KEY: person.get_session_auth_hash(),
        }
    )
    booking = old_session(booking={"kind": "set-up"})
    gone = old_session(**{SESSION_KEY: "987654"})
    migration.copy(apps, connection.schema_editor())
    assert dict(BrowserSession.objects.values_list("session_key", "person")) == {
        logged_in: person.pk,
        booking: None,
        gone: None,
    }
    assert SessionStore(booking)["booking"] == {"kind": "set-up"}
    browser = Client()
    browser.cookies[settings.SESSION_COOKIE_NAME] = logged_in
    assert browser.get(reverse("account")).status_code == 200
