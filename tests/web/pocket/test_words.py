"""What the scripts say in another language: gathered from them, sent with the page, and told to the last word."""

from __future__ import annotations

import ast
import importlib.util
import json
import re
import struct
from pathlib import Path

import pytest
from django.conf import settings

from gylebook.outputs import voices
from gylebook.web.pocket import shell, words

ROOT = Path(__file__).parents[3]
STATIC = Path(settings.STATIC_ROOT)
DEFINED = "modules/words.js"
# Names of units, of sources and of commands are the same in every language.
SAME = re.compile(r"⟦[^⟦⟧]*⟧|gylebook|“[^”]*”|imp gal|imp pt|imp fl oz|US gal|US qt|US pt|US fl oz|mL|vol|bar")


def gathered():
    spec = importlib.util.spec_from_file_location("js_words", ROOT / "scripts" / "js_words.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def compiled(texts):
    """A compiled catalogue as gettext keeps it; a plural's forms in a tuple, its two originals as the key."""
    pairs = {b"": b"Content-Type: text/plain; charset=UTF-8\nPlural-Forms: nplurals=2; plural=(n != 1);\n"}
    for key, told in texts.items():
        one = "\0".join(key) if isinstance(key, tuple) else key
        pairs[one.encode()] = ("\0".join(told) if isinstance(told, tuple) else told).encode()
    keys = sorted(pairs)
    start = 28 + 16 * len(keys)
    heads, body = [], b""
    for text in (*keys, *(pairs[key] for key in keys)):
        heads.append(struct.pack("<II", len(text), start + len(body)))
        body += text + b"\0"
    head = struct.pack("<7I", 0x950412DE, 0, len(keys), 28, 28 + 8 * len(keys), 0, 0)
    return head + b"".join(heads) + body


@pytest.fixture
def german(tmp_path, monkeypatch):
    """A book with a little German."""
    file = tmp_path / "de" / "LC_MESSAGES" / "django.mo"
    file.parent.mkdir(parents=True)
    file.write_bytes(
        compiled({
            "This phone": "Dieses Telefon",
            "Weigh {dose} of {sugar} for {litres}.": "{dose} {sugar} für {litres} abwiegen.",
            ("{n} entry waits", "{n} entries wait"): ("{n} Eintrag wartet", "{n} Einträge warten"),
            "Nobody's script says this": "Das sagt kein Skript",
        })
    )  # fmt: skip
    monkeypatch.setattr(voices, "LOCALE", tmp_path)
    for kept in (voices.catalogue, words._written):
        kept.cache_clear()
    yield
    for kept in (voices.catalogue, words._written):
        kept.cache_clear()


def test_a_script_says_texts_alone_so_that_they_can_be_gathered():
    for path in STATIC.rglob("*.js"):
        name = path.relative_to(STATIC).as_posix()
        if name == DEFINED:
            continue
        script = path.read_text(encoding="utf-8")
        found = words.said_in(script, name)
        calls = len(re.findall(r"\bsay\(", script)) + len(re.findall(r"\bcounted\(", script))
        assert len(found) == calls, name


def test_what_goes_by_a_number_goes_by_nothing_else():
    module = gathered()
    counted = {one for one, *_ in module.js_plurals()}
    assert not counted & {text for text, *_ in module.js_singulars()}
    assert ("{n} entry waits", "{n} entries wait") in {(one, more) for one, more, *_ in module.js_plurals()}
    texts = {text for text, *_ in module.js_messages()}
    assert {"This phone", "{n} entries wait", "Weigh {dose} of {sugar} for {litres}."} <= texts


def test_gathered_texts_come_with_their_place():
    script = 'import { say } from "./words.js";\nconst a = say("Say \\"yes\\"");\nconst b = counted(f(n), "{n} one",\n "{n} more");'
    found = [(each.text, each.more, each.line) for each in words.said_in(script, "a.js")]
    assert found == [('Say "yes"', "", 2), ("{n} one", "{n} more", 3)]


def test_the_parts_of_a_sentence_are_those_that_its_call_gives():
    """Names in braces are the names of parts, and every part that is named in a call is put in."""
    for each in words.said_by_scripts():
        for text in filter(None, (each.text, each.more)):
            assert re.sub(r"\{[A-Za-z_]\w*\}", "", text).find("{") < 0, (each.file, each.line, text)


def test_the_sums_say_what_the_book_says():
    """The same templates, so that they are translated once and a sum answers alike on the phone and in the book."""
    book = set()
    for path in (ROOT / "src" / "gylebook").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                book.add(node.value)
    said = {each for each in words.said_by_scripts() if each.file.startswith("pocket/sums/")}
    assert len(said) > 300
    assert sorted((each.file, each.line, each.text) for each in said if each.text not in book) == []


def test_british_english_loads_nothing_and_american_the_words_that_differ(reader):
    assert words.address("en-GB") == ""
    assert "data-words" not in reader.get("/pocket/").content.decode()
    american = words.words_of("en-US")
    assert american["Are the grams, and the litres, right?"] == "Are the grams, and the liters, right?"
    assert "This phone" not in american


def test_the_words_of_a_language_are_those_of_the_scripts_alone(german):
    told = words.words_of("de")
    assert told["This phone"] == "Dieses Telefon"
    assert told["{n} entry waits"] == ["{n} Eintrag wartet", "{n} Einträge warten"]
    assert "Nobody's script says this" not in told


def test_a_page_names_its_words_with_their_print_and_the_worker_keeps_them(german, reader):
    page = reader.get("/pocket/?language=de").content.decode()
    address = re.search(r'<html lang="de"[^>]* data-words="([^"]+)"', page)[1]
    assert address == words.address("de")
    answer = reader.get(address)
    assert json.loads(answer.content) == words.words_of("de")
    assert "immutable" in answer["Cache-Control"]
    assert reader.get(address.split("?")[0])["Cache-Control"] == "no-cache"
    files = dict(shell.shell("/", "de").files)
    assert address in files
    assert "/pocket/?language=de" in files
    assert shell.shell("/", "de").version != shell.shell("/").version


def test_words_of_no_language_are_not_found(reader):
    assert reader.get("/pocket/words-xx.json").status_code == 404
    assert '<html lang="en-GB"' in reader.get("/pocket/?language=xx").content.decode()


def test_what_an_address_names_is_told_as_its_language_whatever_the_reader_speaks(german, reader):
    english = {"accept-language": "en-GB"}
    assert reader.get("/pocket/?language=de", headers=english)["Content-Language"] == "de"
    assert reader.get(words.address("de"), headers=english)["Content-Language"] == "de"
    assert reader.get("/pocket/", headers={"accept-language": "de"})["Content-Language"] == "de"
    assert reader.get("/pocket/?language=en-GB", headers={"accept-language": "de"})["Content-Language"] == "en-GB"


# --- in a browser ---------------------------------------------------------------------------------------------


def marked():
    """Every sentence of the scripts between marks."""
    return {
        each.text: [f"⟦{each.text}⟧", f"⟦{each.more}⟧"] if each.more else f"⟦{each.text}⟧"
        for each in words.said_by_scripts()
    }


@pytest.fixture
def foreign(browser, book):
    """Open Pocket in a language in which every sentence is marked and half a thing is written 0,5."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, service_workers="block")
    page = context.new_page()
    page.set_default_timeout(20_000)

    def shown(route):
        answer = route.fetch()
        route.fulfill(
            response=answer, body=answer.text().replace('lang="en-GB"', 'lang="de" data-words="/marked.json"')
        )

    page.route("**/pocket/", shown)
    page.route("**/marked.json", lambda route: route.fulfill(json=marked()))

    def opened(place):
        page.goto(f"{book.address}/pocket/")
        page.locator("h2", has_text="Running brews").wait_for()
        page.evaluate("(place) => { location.hash = place; }", place)
        return page

    yield opened
    context.close()


TEXTS = """() => {
  const walker = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT), found = [];
  while (walker.nextNode()) found.push(walker.currentNode.data);
  return found;
}"""


def unmarked(texts):
    """What is left of texts once all that is between marks is gone, inner marks first."""
    left = []
    for text in texts:
        more, less = text, SAME.sub("", text)
        while more != less:
            more, less = less, SAME.sub("", less)
        if re.search(r"[^\W\d_]{3,}", less):
            left.append(less)
    return left


@pytest.mark.parametrize("place", ["phone", "timer", "waiting", "reckon", "reckon/reading", "brew/99"])
def test_every_sentence_of_a_screen_is_told_in_its_language(foreign, place):
    page = foreign(place)
    page.locator("main h1", has_text="⟦").wait_for()
    if place.startswith("reckon"):
        page.locator(".index, form.entry").first.wait_for()
    assert unmarked(page.evaluate(TEXTS)) == []


def test_a_sum_is_told_in_its_language_with_its_decimal_mark(foreign):
    page = foreign("reckon/priming")
    page.locator('[name="volume"]').fill("20.6")
    page.locator('[name="co2"]').fill("2.4")
    page.locator("form .main").click()
    headline = page.locator(".answer .headline")
    headline.wait_for()
    assert re.fullmatch(r"⟦Weigh \d+ g of ⟦table sugar[^⟧]*⟧ for 20,6 L\.⟧", headline.inner_text())
    sources = set(page.evaluate("() => [...document.querySelectorAll('.cited li')].map((each) => each.textContent)"))
    assert "Conservation of mass" in sources
    texts = [text for text in page.evaluate(TEXTS) if text not in sources]
    assert unmarked(texts) == []
    shown = " ".join(page.locator(".figures dd").all_inner_texts())
    assert re.search(r"\d,\d\d", shown)
    assert not re.search(r"\d\.\d", shown)


def test_forms_go_by_the_number_and_what_is_not_translated_stays_english(foreign):
    page = foreign("timer")
    told = page.evaluate("""async () => {
      const { counted, say, number, locale } = await import("/pocket/words.js");
      return [counted(1, "{n} entry waits", "{n} entries wait"), counted(0, "{n} entry waits", "{n} entries wait"),
        counted(2, "{n} newt", "{n} newts"), say("No such text, {name}", { name: "Ann" }), say("{literal}"), number("1.5"), locale];
    }""")
    assert told == [
        "⟦1 entry waits⟧",
        "⟦0 entries wait⟧",
        "2 newts",
        "No such text, Ann",
        "{literal}",
        "1,5",
        "de",
    ]


def test_another_language_is_there_without_the_network(phones, book):
    phone = phones(book.address)
    phone.context.add_cookies([{"name": "gylebook_language", "value": "de", "url": book.address}])
    page = phone.open()
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    page.close()
    phone.cut()
    page = phone.open("/pocket/#timer")
    page.locator("main h1").wait_for()
    assert page.evaluate("document.documentElement.lang") == "de"
    asked = "async (text) => (await import('/pocket/words.js')).say(text)"
    for text, told in list(words.words_of("de").items())[:20]:
        if isinstance(told, str) and "{" not in text:
            assert page.evaluate(asked, text) == told
    assert page.evaluate("async () => (await import('/pocket/words.js')).number('1.5')") == "1,5"
    phone.mend()
    phone.context.add_cookies([{"name": "gylebook_language", "value": "en-GB", "url": book.address}])
    page.reload()
    page.locator(
        ".note", has_text=words.words_of("de").get("A newer Pocket is ready.", "A newer Pocket is ready.")
    ).wait_for()
    page.locator(".note button").last.click()
    page.wait_for_function("() => document.documentElement.lang === 'en-GB'")
