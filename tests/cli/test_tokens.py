"""Tokens by command: made, listed and taken back, also for programs."""

from __future__ import annotations


def test_a_token_is_made_listed_and_taken_back(told, own_book):
    made = told("tokens", "make", "kitchen tablet", "--may", "both", "--json").plain
    assert made["token"].startswith("gyle_")
    assert made["may"] == ["read", "write"]
    listed = told("tokens", "list", "--json").plain["tokens"]
    assert [each["name"] for each in listed] == ["kitchen tablet"]
    assert "token" not in listed[0]
    assert "never used" in told("tokens", "list").out
    assert told("tokens", "revoke", "kitchen tablet").code == 0
    assert "No token opens the book" in told("tokens", "list").out


def test_what_cannot_be_is_said_in_one_sentence(told, own_book):
    assert told("tokens", "revoke", "nothing").code == 2
    assert told("tokens", "make", "x", "--person", "nobody").code == 2
    assert told("--demo", "tokens", "list").code == 3
    told("tokens", "make", "twice")
    assert "already" in told("tokens", "make", "twice").err
