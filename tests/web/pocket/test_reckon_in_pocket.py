"""The sums of Pocket as they are asked for in the garage."""

from __future__ import annotations


def test_a_sum_is_reckoned_without_the_network_with_its_working_and_its_faults(phones, book):
    phone = phones(book.address)
    phone.ready().close()
    phone.cut()
    page = phone.open("/pocket/#reckon")
    page.locator(".index a").nth(9).wait_for()  # ten of them at least
    page.get_by_role("link", name="Priming sugar").click()
    page.locator('[name="volume"]').fill("many")
    page.locator("form .main").click()
    page.locator(".field.wrong .error", has_text="many").wait_for()
    page.locator('[name="volume"]').fill("20,6")
    page.locator('[name="co2"]').fill("2.4 vol")
    page.locator("form .main").click()
    page.locator(".answer .headline", has_text="g").wait_for()
    assert page.locator(".field.wrong").count() == 0
    figure = page.locator(".figures .fig").first
    figure.locator("summary").click()
    assert figure.locator(".relation").inner_text()
    assert figure.locator(".sums li").count() > 2
    assert "[object" not in page.locator("main").inner_text()
    assert "undefined" not in page.locator("main").inner_text()
