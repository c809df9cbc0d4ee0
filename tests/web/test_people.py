"""Co-brewers: invited once, by the owner; their entries carry their names and stay when they go."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client

from gylebook.errors import InputError, NotFound, Refused
from gylebook.store import devices, one_time, passkeys, people
from gylebook.store.models import JournalEntry, NoticeAddress, OneTimeCode
from web.test_devices import code, house, is_in, paired, phone, send  # noqa: F401 - the fixture is used by its name

NOON = datetime(2026, 11, 3, 12, 0, tzinfo=UTC)
GOOD = "Nine barrels of porter"


@pytest.fixture
def mine(house):  # noqa: F811
    return paired()


def invitation(mine):
    page = send(mine, "/account/people/invite/", page="/account/people/").content.decode()
    return re.search(r'href="http://testserver(/invited/[^"]+)"', page)[1]


def joined(mine, name="Ann", password=GOOD):
    reader = phone()
    answer = send(reader, invitation(mine), {"name": name, "password": password})
    assert answer.status_code == 302
    return reader


def test_an_invited_person_chooses_a_name_and_is_in(mine):
    link = invitation(mine)
    reader = phone()
    page = reader.get(link).content.decode()
    assert "<strong>owner</strong> invites you" in page
    assert send(reader, link, {"name": " Ann  of the mill ", "password": GOOD})["Location"] == "/"
    assert is_in(reader)
    assert people.everybody() == ["owner", "Ann of the mill"]
    assert "Ann of the mill" in mine.get("/account/people/").content.decode()


def test_they_sign_in_elsewhere_with_their_own_password(mine):
    joined(mine)
    other = phone()
    answer = send(other, "/account/sign-in/", {"name": "Ann", "password": GOOD})
    assert answer["Location"] == "/"


def test_without_a_password_they_are_led_to_passkeys_and_nobody_can_guess_one(mine):
    reader = phone()
    answer = send(reader, invitation(mine), {"name": "Ann", "password": ""})
    assert answer["Location"] == "/account/passkeys/"
    assert is_in(reader)
    assert not User.objects.get(username="Ann").has_usable_password()
    assert people.check_password("Ann", "", NOON) is None


def test_an_invitation_works_once_and_for_three_days(mine):
    with time_machine.travel(datetime.now(UTC), tick=False) as clock:
        link = invitation(mine)
        late = invitation(mine)
        assert send(phone(), link, {"name": "Ann", "password": GOOD}).status_code == 302
        assert phone().get(link).status_code == 410
        clock.shift(timedelta(days=3) - timedelta(seconds=1))
        assert phone().get(late).status_code == 200
        clock.shift(timedelta(seconds=1))
        assert phone().get(late).status_code == 410


@pytest.mark.parametrize(
    ("name", "password", "field"),
    [("", GOOD, "Name"), ("x" * 41, GOOD, "Name"), ("owner", GOOD, "Name"), ("OWNER", GOOD, "Name"),
     ("ben", GOOD, "Name"), ("Ann", "short", "Password"), ("Ann", "1234567890123", "Password")],
)  # fmt: skip
def test_what_does_not_fit_is_said_beside_its_field_and_the_invitation_stays_good(mine, name, password, field):
    people.join("Ben", GOOD, lambda: None)
    link = invitation(mine)
    reader = phone()
    answer = send(reader, link, {"name": name, "password": password})
    assert answer.status_code == 422
    assert f'id="e-{field.lower()}"' in answer.content.decode()
    assert f"{field}: " in answer.content.decode()
    assert send(reader, link, {"name": "Cara", "password": GOOD}).status_code == 302


def test_their_entries_carry_their_name_and_stay_when_they_go(mine):
    ann = joined(mine)
    answer = send(
        ann,
        "/settings/places/",
        {"act": "keep_place", "name": "Mill loft", "command_id": "form-" + "a" * 32, "when": ""},
        "/settings/places/?new=1",
    )
    assert answer.status_code == 302, answer.content.decode()
    assert JournalEntry.objects.get().recorded_by == "Ann"
    page = send(mine, "/account/people/remove/", {"name": "Ann"}, "/account/people/").content.decode()
    assert "Remove Ann?" in page
    assert is_in(ann)
    send(mine, "/account/people/remove/", {"name": "Ann", "confirm": "1"}, "/account/people/")
    assert not is_in(ann)
    assert JournalEntry.objects.get().recorded_by == "Ann"
    assert people.everybody() == ["owner"]
    assert people.check_password("Ann", GOOD, datetime.now(UTC)) is None


def test_nobody_takes_the_name_of_somebody_who_has_gone(mine):
    joined(mine)
    people.remove("Ann")
    with pytest.raises(InputError, match="another ann"):
        people.join("ann", GOOD, lambda: None)


def test_with_a_person_go_their_devices_passkeys_and_codes(mine):
    joined(mine)
    passkeys.add("Ann", "Key", "localhost", credential="abc", public_key="def", uses=0, now=NOON)
    one_time.make(one_time.PAIRING, "Ann", datetime.now(UTC))
    NoticeAddress.objects.create(url="https://ann.example/", person="Ann", salt="s", base="", made_at=NOON, fault="")
    people.remove("Ann")
    assert passkeys.listed("Ann") == []
    assert not NoticeAddress.objects.exists()
    assert not OneTimeCode.objects.exists()
    assert devices.listed(datetime.now(UTC), "Ann") == []


def test_only_the_owner_invites_and_removes(mine):
    people.join("Ben", GOOD, lambda: None)
    ann = joined(mine)
    page = ann.get("/account/people/").content.decode()
    assert "Only owner can invite and remove" in page
    assert send(ann, "/account/people/invite/", page="/account/devices/").status_code == 403
    answer = send(ann, "/account/people/remove/", {"name": "Ben", "confirm": "1"}, "/account/devices/")
    assert answer.status_code == 403
    assert "Ben" in people.everybody()


def test_the_owner_cannot_be_removed(mine):
    answer = send(mine, "/account/people/remove/", {"name": "owner", "confirm": "1"}, "/account/people/")
    assert answer.status_code == 409
    assert is_in(mine)
    with pytest.raises(NotFound):
        people.remove("Nobody")


def test_whoever_joins_first_does_not_become_the_owner(house, settings):  # noqa: F811
    settings.SIGN_IN_REQUIRED = False
    here = Client(enforce_csrf_checks=True, HTTP_HOST="localhost")
    page = send(here, "/account/people/invite/", page="/account/people/").content.decode()
    link = re.search(r'href="https://cellar-box.local:8484(/invited/[^"]+)"', page)[1]
    settings.SIGN_IN_REQUIRED = True
    ann = phone()
    assert send(ann, link, {"name": "Ann", "password": GOOD}).status_code == 302
    assert people.owner() == "owner"
    assert send(ann, "/account/people/invite/", page="/account/devices/").status_code == 403


def test_two_who_use_an_invitation_at_once_are_one_person(mine):
    link = invitation(mine).split("/")[2]
    people.join("Ann", GOOD, lambda: one_time.take(one_time.INVITATION, link, "192.168.1.5", datetime.now(UTC)))
    with pytest.raises(Refused):
        people.join("Ben", GOOD, lambda: one_time.take(one_time.INVITATION, link, "192.168.1.6", datetime.now(UTC)))
    assert people.everybody() == ["owner", "Ann"]


def test_the_first_of_other_names_is_the_owner_where_nobody_is_called_so(books):
    assert people.owner() == "owner"
    people.set_password(GOOD, "Cara")
    people.set_password(GOOD, "Ann")
    assert people.owner() == "Cara"
    assert people.everybody() == ["Cara", "Ann"]
