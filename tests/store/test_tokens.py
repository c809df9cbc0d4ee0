"""Tokens, the prints of what was sent, and the book's mark, on both engines."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from gylebook.errors import Conflict, InputError, NotFound
from gylebook.journal import events as ev
from gylebook.steps.decision import Decision
from gylebook.store import accounts, brew_log, tokens
from gylebook.store.book_mark import book_mark
from gylebook.store.models import ApiToken, SentPrint
from gylebook.store.people import remove, set_password

NOW = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)


def test_a_token_is_kept_as_its_print_and_found_by_its_secret(book):
    token, secret = tokens.make("tablet", "owner", "both", NOW)
    assert token.scopes == ("read", "write")
    assert ApiToken.objects.get().secret_hash not in secret
    found = tokens.token_of(secret, NOW)
    assert (found.name, found.person) == ("tablet", "owner")
    assert tokens.token_of(secret[:-1], NOW) is None
    assert tokens.token_of("", NOW) is None


def test_when_it_was_used_is_kept_to_ten_minutes(book):
    _, secret = tokens.make("tablet", "owner", "read", NOW)
    for minutes in (0, 9, 10, 19):
        tokens.token_of(secret, NOW + timedelta(minutes=minutes))
    assert tokens.listed()[0].used_at == NOW + timedelta(minutes=10)


def test_each_name_is_there_once_a_person_and_the_newest_comes_first(book):
    set_password("Seven gyles of stout", "jo")
    tokens.make("tablet", "owner", "read", NOW)
    tokens.make("tablet", "jo", "write", NOW + timedelta(hours=1))
    with pytest.raises(InputError, match="already"):
        tokens.make("tablet", "jo", "read", NOW)
    assert [token.person for token in tokens.listed()] == ["jo", "owner"]
    assert [token.person for token in tokens.listed("owner")] == ["owner"]


@pytest.mark.parametrize(("name", "may"), [("", "read"), ("x" * 81, "read"), ("two\nlines", "read"), ("tablet", "all")])
def test_what_cannot_be_a_token_is_refused(book, name, may):
    with pytest.raises(InputError):
        tokens.make(name, "owner", may, NOW)
    assert tokens.listed() == ()


def test_nobody_has_more_than_fifty(book):
    for number in range(50):
        tokens.make(f"t{number}", "owner", "read", NOW)
    with pytest.raises(InputError, match="50 tokens already"):
        tokens.make("one more", "owner", "read", NOW)


def test_nobody_that_is_not_there_has_a_token(book):
    with pytest.raises(NotFound, match="Nobody called jo"):
        tokens.make("tablet", "jo", "read", NOW)
    with pytest.raises(NotFound):
        tokens.revoke("tablet", "owner")


def test_tokens_end_with_their_person_and_do_not_come_back_with_the_name(book):
    set_password("Seven gyles of stout")
    set_password("Eight gyles of stout", "jo")
    _, secret = tokens.make("tablet", "jo", "read", NOW)
    remove("jo")
    assert tokens.token_of(secret, NOW) is None
    assert tokens.listed("jo") == ()
    set_password("Nine gyles of stout", "jo")
    assert tokens.token_of(secret, NOW) is None


def test_a_restore_lets_no_token_in_that_was_taken_back_since(book):
    _, secret = tokens.make("tablet", "owner", "read", NOW)
    accounts.forget_sessions("default")  # what a restore does with what the backup held
    assert tokens.token_of(secret, NOW) is None


# --- prints -------------------------------------------------------------------------------------------------------


def noted(text, content, command_id="n1", brew=None):
    further = {"actor": "jo", "source": "program", "command_id": command_id, "now": NOW, "content": content}

    def decide(_state):
        return Decision(((NOW, ev.Planned(name=text) if brew is None else ev.Noted(text=text)),))

    return brew_log.start_brew(decide, **further) if brew is None else brew_log.change(brew, decide, **further)


def test_an_id_comes_again_with_its_own_content_only(book):
    noted("Shed stout", "a", "p1")
    assert noted("Shed stout", "a", "p1").repeated
    with pytest.raises(Conflict, match="Something else"):
        noted("Shed bitter", "b", "p1")
    first = noted("foam", "x", brew="1")
    assert noted("foam", "x", brew="1").entries == first.entries
    with pytest.raises(Conflict, match="Something else"):
        noted("no foam", "y", brew="1")
    assert brew_log.read("1").head_seq == 2


def test_a_print_that_outlived_its_entry_does_not_stand_in_the_way(book):
    noted("Shed stout", "a", "p1")
    SentPrint.objects.create(command_id="n1", content="of a book that was restored over")
    assert not noted("foam", "x", brew="1").repeated
    assert noted("foam", "x", brew="1").repeated


def test_a_book_has_one_mark_for_good_and_another_book_has_another(book, library, engine):
    from books import opened

    first = book_mark()
    assert book_mark() == first
    settings = library.settings(engine)
    with opened("other", settings):
        assert book_mark("other") != first
    library.give_back(settings)
