"""Reckon in the pocket without the network: the same sentence and figures as the book's own page gives."""

from __future__ import annotations

import pytest

from gylebook.steps.sums import SUMS


@pytest.fixture
def cut_off(phones, book):
    """A phone that has opened the page once and is out of the book's reach now."""
    phone = phones(book.address)
    phone.ready().close()
    phone.cut()
    return phone


def reckon(phone, word, **texts):
    page = phone.open(f"/pocket/#reckon/{word}")
    for name, text in texts.items():
        page.locator(f"[name={name}]").fill(text)
    page.get_by_role("button", name="Reckon", exact=True).click()
    return page


def test_priming_is_reckoned_out_of_reach_and_every_figure_opens_its_working(cut_off):
    texts = {"volume": "20,6", "co2": "2,4", "bottles": "40 x 500 mL brown returnable"}
    of = SUMS["priming"]
    answer = of.reckon({field.name: field.read(texts.get(field.name, "")) for field in of.fields})
    page = reckon(cut_off, "priming", **texts)
    page.locator(".headline", has_text=answer.headline).wait_for()
    shown = page.locator(".figures:not(.options *) .fig")
    assert shown.count() == len(answer.figures)
    labels = page.locator(".figures:not(.options *) dt").all_inner_texts()
    assert [" ".join(each.split()) for each in labels] == [figure.label for figure in answer.figures]
    for place, figure in enumerate(answer.figures):
        text = " ".join(shown.nth(place).inner_text().split())
        assert figure.text().replace("(", "").replace(")", "") in text  # the range stands apart from its value
        shown.nth(place).locator("summary").click()
        assert shown.nth(place).locator(".working .relation").inner_text() == figure.working.relation
    page.close()


def test_what_cannot_be_read_is_told_beside_its_field(cut_off):
    page = reckon(cut_off, "dilution", gravity="1.040", volume="5 gal", water="2")
    said = (
        "Volume now: gallons differ by a fifth between the UK and the US; write “imp gal” or “US gal”, or give litres."
    )
    page.locator(".error", has_text=said).wait_for()
    page.locator("[name=volume]").fill("5 imp gal")
    page.get_by_role("button", name="Reckon", exact=True).click()
    page.locator(".headline", has_text="becomes 1.0368").wait_for()
    page.close()
