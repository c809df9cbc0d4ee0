"""The phone's way in, end to end: the book as a process, by HTTPS of its own, in a real browser that checks it."""

from __future__ import annotations

from urllib.parse import urljoin

import pytest
from playwright.sync_api import Error, sync_playwright

from web.served import House, browser

PARTS = ("serviceWorker", "credentials", "wakeLock", "locks")
SEEN = f"() => [isSecureContext, typeof PublicKeyCredential, ...{list(PARTS)}.map((part) => part in navigator)]"


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    served = House(tmp_path_factory.mktemp("house") / "home")
    yield served
    served.stop()


@pytest.fixture(scope="module")
def playwright():
    with sync_playwright() as made:
        yield made


@pytest.fixture(scope="module")
def trusting(playwright, house, tmp_path_factory):
    """A browser into which the authority was taken, as the page for new phones gave it."""
    with browser(playwright, tmp_path_factory.mktemp("trusting"), house.authority) as made:
        yield made


@pytest.fixture
def page(trusting):
    context = trusting.new_context(locale="en-GB")
    made = context.new_page()
    made.set_default_timeout(15_000)
    yield made
    context.close()


def authenticator(page):
    """Give a page a device that makes and keeps passkeys, and asks nobody."""
    link = page.context.new_cdp_session(page)
    link.send("WebAuthn.enable")
    options = {
        "protocol": "ctap2", "transport": "internal", "hasResidentKey": True, "hasUserVerification": True,
        "isUserVerified": True, "automaticPresenceSimulation": True,
    }  # fmt: skip
    made = link.send("WebAuthn.addVirtualAuthenticator", {"options": options})["authenticatorId"]
    return lambda: link.send("WebAuthn.getCredentials", {"authenticatorId": made})["credentials"]


def let_in(page, house, name="Test phone"):
    page.goto(house.pair())
    page.get_by_label("What to call this device").fill(name)
    page.get_by_role("button", name="Sign in on this device").click()
    page.wait_for_url(f"{house.address}pocket/")
    page.get_by_role("link", name="The whole book").click()
    page.wait_for_url(house.address)


def sign_out(page):
    page.get_by_role("button", name="Sign out", exact=True).last.click()
    page.wait_for_url(urljoin(page.url, "/account/sign-in/"))


def test_a_browser_that_does_not_know_the_authority_refuses_the_book(playwright, house, tmp_path):
    with browser(playwright, tmp_path) as stranger, pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        stranger.new_page().goto(house.address)


def test_one_that_trusts_it_has_all_that_a_phone_needs(page, house):
    assert page.goto(house.address).status == 200
    assert page.url.endswith("/account/sign-in/?next=/")
    assert page.evaluate(SEEN) == [True, "function", *(True for _ in PARTS)]


def test_one_that_trusts_it_may_keep_pages_for_when_the_book_is_out_of_reach(page, house):
    """The worker is this test's own, so that only the certificate decides; a warning clicked away is not enough."""

    def worker(route):
        route.fulfill(content_type="text/javascript", body="self.addEventListener('fetch', () => {});")

    page.context.route("**/static/worker-of-the-test.js", worker)
    page.goto(house.address)
    register = "() => navigator.serviceWorker.register('/static/worker-of-the-test.js').then(made => made.scope)"
    assert page.evaluate(register) == f"{house.address}static/"


def test_at_a_name_that_is_not_the_books_the_browser_refuses(page, house):
    with pytest.raises(Error, match="ERR_CERT_COMMON_NAME_INVALID"):
        page.goto(f"https://other.localhost:{house.port}/")


def test_a_passkey_is_made_used_and_removed(page, house):
    faults = []
    page.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    kept = authenticator(page)
    let_in(page, house, "The browser of passkeys")
    page.goto(f"{house.address}account/passkeys/")
    page.get_by_label("What to call it").fill("My thumb")
    page.get_by_role("button", name="Make a passkey").click()
    page.locator("main .ink", has_text="My thumb").wait_for()
    assert [each["rpId"] for each in kept()] == ["localhost"]
    page.get_by_role("button", name="Make a passkey").click()
    page.get_by_text("No passkey was used").wait_for()  # this device has one for the book already

    sign_out(page)
    page.goto(f"{house.address}cellar/")
    page.get_by_role("button", name="Sign in with a passkey").click()
    page.wait_for_url(f"{house.address}cellar/")
    page.goto(f"{house.address}account/devices/")
    assert "by passkey" in page.locator("main").inner_text()

    page.goto(f"{house.address}account/passkeys/")
    assert "last used" in page.locator("main").inner_text()
    page.get_by_role("button", name="Remove My thumb").click()
    page.get_by_text("You have none yet.").wait_for()
    sign_out(page)
    assert page.get_by_role("button", name="Sign in with a passkey").count() == 0
    assert faults == []


def test_a_removed_passkey_lets_nobody_in(page, house):
    kept = authenticator(page)
    let_in(page, house)
    page.goto(f"{house.address}account/passkeys/")
    page.get_by_label("What to call it").fill("Short-lived")
    page.get_by_role("button", name="Make a passkey").click()
    page.locator("main .ink", has_text="Short-lived").wait_for()
    other = page.context.new_page()
    other.goto(f"{house.address}account/passkeys/")
    # The button to use it is on the page already when the passkey goes, and the device still has its half.
    page.goto(f"{house.address}account/sign-in/")
    other.get_by_role("button", name="Remove Short-lived").click()
    other.get_by_text("You have none yet.").wait_for()
    page.get_by_role("button", name="Sign in with a passkey").click()
    page.get_by_text("This passkey is not in the book any more").wait_for()
    assert len(kept()) == 1
    assert page.url == f"{house.address}account/sign-in/"


def test_a_phone_signed_out_by_command_is_out_at_its_next_page(page, house):
    let_in(page, house, "Phone to lose")
    (lost,) = [each for each in house.command("devices")["devices"] if each["name"] == "Phone to lose"]
    assert house.command("devices", "--revoke", str(lost["id"]))["revoked"][0]["name"] == "Phone to lose"
    page.goto(house.address)
    assert "/account/sign-in/" in page.url


def test_the_pages_keep_to_a_phones_width_and_break_no_rule_of_the_policy(page, house):
    faults = []
    page.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
    page.set_viewport_size({"width": 320, "height": 640})
    let_in(page, house)
    for path in ("account/devices/", "account/people/", "account/passkeys/"):
        page.goto(f"{house.address}{path}")
        assert page.evaluate("() => document.scrollingElement.scrollWidth - innerWidth") <= 0, path
    page.goto(f"{house.address}account/devices/")
    page.get_by_role("button", name="Add a phone").click()
    page.get_by_role("img", name="Code with the link below").wait_for()
    assert page.evaluate("() => document.scrollingElement.scrollWidth - innerWidth") <= 0
    box = page.locator(".phone-code svg").bounding_box()
    assert box["width"] >= 200
    page.goto(f"http://localhost:{house.port + 1}/")
    page.get_by_role("link", name="1. Take the certificate").wait_for()
    assert page.evaluate("() => document.scrollingElement.scrollWidth - innerWidth") <= 0
    assert [fault for fault in faults if "favicon" not in fault and "404" not in fault] == []
