from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth.models import User

from gylebook.errors import InputError, Refused
from gylebook.store.models import SignInTry
from gylebook.store.people import check_password, has_password, only_name, set_password

NOW = datetime(2026, 11, 3, 18, 30, tzinfo=UTC)
GOOD = "Seven gyles of stout"


def test_a_new_book_has_no_password_at_all(book):
    assert not has_password()
    assert only_name() == ""


def test_a_password_makes_its_person_and_a_second_one_replaces_it(book):
    assert set_password(GOOD) is True
    assert has_password()
    assert only_name() == "owner"
    assert set_password("Nine barrels of porter") is False
    assert check_password("owner", GOOD, NOW) is None
    assert check_password("owner", "Nine barrels of porter", NOW).username == "owner"


@pytest.mark.parametrize("weak", ["", "short", "password123", "1234567890123"])
def test_a_weak_password_is_refused_with_what_to_choose(book, weak):
    with pytest.raises(InputError, match="choose at least 10 characters") as caught:
        set_password(weak)
    assert caught.value.field == "Password"
    assert not User.objects.exists()


def test_passwords_are_never_kept_as_written(book):
    set_password(GOOD)
    assert GOOD not in User.objects.get().password


def test_the_count_of_wrong_passwords_is_kept_for_each_person(book):
    set_password(GOOD)
    set_password(GOOD, "Ann")
    for _ in range(5):
        assert check_password("owner", "guess", NOW) is None
    with pytest.raises(Refused, match="wait five minutes"):
        check_password(" OWNER ", GOOD, NOW)
    assert check_password("Ann", GOOD, NOW).username == "Ann"


def test_a_name_that_nobody_has_is_counted_like_any_other(book):
    for _ in range(5):
        assert check_password("nobody", "guess", NOW) is None
    with pytest.raises(Refused):
        check_password("nobody", "guess", NOW)


def test_tries_are_forgotten_after_a_day(book):
    set_password(GOOD)
    check_password("owner", "guess", NOW)
    check_password("Ann", "guess", NOW + timedelta(days=1, seconds=1))
    assert [row.name for row in SignInTry.objects.all()] == ["ann"]


def test_somebody_who_may_no_longer_sign_in_does_not_count_as_having_a_password(book):
    set_password(GOOD)
    User.objects.update(is_active=False)
    assert not has_password()
    assert check_password("owner", GOOD, NOW) is None
