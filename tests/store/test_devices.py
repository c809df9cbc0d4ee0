"""Devices, one-time codes and passkeys, on both engines."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connections

from gylebook.errors import NotFound, Refused
from gylebook.store import accounts, devices, one_time, passkeys, people
from gylebook.store.models import Device, OneTimeCode, Passkey, SignInTry

NOW = datetime(2026, 11, 3, 18, 30, tzinfo=UTC)


def key(person="owner", credential="abc", host="box.local", uses=0):
    passkeys.add(person, " My   key ", host, credential=credential, public_key="def", uses=uses, now=NOW)


def test_a_device_is_found_for_its_person_alone(book):
    number = devices.enter("owner", "", devices.PAIRING, NOW)
    assert devices.find(number, "owner", NOW).name == "A browser"
    assert devices.find(number, "Ann", NOW) is None
    assert devices.find(number, "owner", NOW + timedelta(days=180)) is None


def test_a_number_never_comes_again(book):
    first = devices.enter("owner", "One", devices.PAIRING, NOW)
    devices.revoke(first)
    assert devices.enter("owner", "Two", devices.PAIRING, NOW) > first


def test_what_has_ended_by_itself_goes(book):
    devices.enter("owner", "Old", devices.PASSWORD, NOW)
    devices.enter("owner", "New", devices.PASSWORD, NOW + timedelta(days=31))
    assert [row.name for row in Device.objects.all()] == ["New"]


def test_the_last_seen_stands_first(book):
    first = devices.enter("owner", "First", devices.PAIRING, NOW)
    devices.enter("Ann", "Second", devices.PAIRING, NOW + timedelta(minutes=1))
    found = devices.find(first, "owner", NOW)
    assert not devices.is_due(found, NOW + timedelta(minutes=9))
    assert devices.is_due(found, NOW + timedelta(minutes=10))
    devices.seen(found, NOW + timedelta(minutes=10))
    assert [each.name for each in devices.listed(NOW)] == ["First", "Second"]
    assert [each.name for each in devices.listed(NOW, "Ann")] == ["Second"]


def test_revoking_is_told_and_limited_to_a_person(book):
    number = devices.enter("owner", "Mine", devices.PAIRING, NOW)
    with pytest.raises(NotFound):
        devices.revoke(number, "Ann")
    assert devices.revoke(number, "owner").name == "Mine"
    with pytest.raises(NotFound, match="lists those that are"):
        devices.revoke(number)
    devices.leave(number)  # leaving twice is no fault


def test_of_many_who_use_a_code_at_once_one_gets_in(book):
    code = one_time.make(one_time.PAIRING, "owner", NOW)
    gate, said = threading.Barrier(6), []

    def use(number):
        gate.wait()
        try:
            said.append(one_time.take(one_time.PAIRING, code, f"192.168.1.{number}", NOW))
        except Refused:
            said.append("refused")
        finally:
            connections.close_all()

    crowd = [threading.Thread(target=use, args=[number]) for number in range(6)]
    for each in crowd:
        each.start()
    for each in crowd:
        each.join()
    assert sorted(said) == ["owner", *["refused"] * 5]


def test_codes_that_have_ended_go_and_wrong_ones_are_counted_apart_from_passwords(book):
    people.set_password("Seven gyles of stout")
    one_time.make(one_time.PAIRING, "owner", NOW)
    later = NOW + timedelta(minutes=11)
    one_time.make(one_time.PAIRING, "owner", later)
    assert OneTimeCode.objects.count() == 1
    for _ in range(5):
        with pytest.raises(Refused, match="ask for a new one"):
            one_time.look(one_time.PAIRING, "wrong", "192.168.1.66", later)
    with pytest.raises(Refused, match="wait five minutes"):
        one_time.look(one_time.PAIRING, "wrong", "192.168.1.66", later)
    assert SignInTry.objects.count() == 5
    assert people.check_password("owner", "Seven gyles of stout", later) is not None


def test_a_passkey_is_kept_once_and_found_under_its_host(book):
    key()
    with pytest.raises(Refused, match="has this passkey already"):
        key(person="Ann")
    assert passkeys.find("abc", "box.local").name == "My key"
    assert passkeys.find("abc", "localhost") is None
    assert passkeys.any_for("box.local")
    assert not passkeys.any_for("localhost")


def test_a_passkey_whose_count_does_not_rise_is_a_copy(book):
    key(uses=5)
    kept = passkeys.find("abc", "box.local")
    assert passkeys.use(kept, 6, NOW)
    kept = passkeys.find("abc", "box.local")
    assert (kept.uses, kept.used_at) == (6, NOW)
    for count in (6, 5, 0):
        assert not passkeys.use(kept, count, NOW)


def test_a_passkey_that_keeps_no_count_may_be_used_again(book):
    key()
    for _ in range(2):
        assert passkeys.use(passkeys.find("abc", "box.local"), 0, NOW)


def test_only_its_person_removes_a_passkey(book):
    key()
    (kept,) = passkeys.listed("owner")
    with pytest.raises(NotFound):
        passkeys.remove(kept.id, "Ann")
    assert passkeys.remove(kept.id, "owner") == "My key"
    assert passkeys.listed("owner") == []


def test_what_was_taken_back_does_not_come_to_life_with_a_backup(book):
    devices.enter("owner", "Phone", devices.PAIRING, NOW)
    one_time.make(one_time.PAIRING, "owner", NOW)
    key()
    accounts.forget_sessions(book)
    for table in (Device, OneTimeCode, Passkey):
        assert not table.objects.exists()


def test_the_owner_is_let_in_without_a_password_while_the_book_has_nobody(book):
    assert people.owner() == "owner"
    assert people.let_in("owner").username == "owner"
    assert not people.has_password()
    with pytest.raises(Refused, match="Ann may not sign in"):
        people.let_in("Ann")
