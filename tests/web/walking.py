"""Walking the pages of a book as a reader would, by its links, and telling what stands in them."""

from __future__ import annotations

import re
from collections import deque
from html.parser import HTMLParser
from urllib.parse import urldefrag, urljoin

VOID = {"area", "base", "br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"}


class Node:
    """An element, with its children and the words between them."""

    def __init__(self, tag, attrs, parent):
        self.tag, self.attrs, self.parent, self.children = tag, attrs, parent, []

    @property
    def classes(self):
        return (self.attrs.get("class") or "").split()

    def above(self):
        """The element and everything that it stands in."""
        node = self
        while node is not None:
            yield node
            node = node.parent

    def below(self):
        """The element and everything in it."""
        yield self
        for child in self.children:
            if isinstance(child, Node):
                yield from child.below()

    def texts(self):
        """Every stretch of words in it, with the element that it stands in."""
        for child in self.children:
            if isinstance(child, Node):
                yield from child.texts()
            else:
                yield child, self


class _Builder(HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.root = Node("", {}, None)
        self.here = self.root

    def handle_starttag(self, tag, attrs):
        node = Node(tag, dict(attrs), self.here)
        self.here.children.append(node)
        if tag not in VOID and not (self.get_starttag_text() or "").endswith("/>"):
            self.here = node

    def handle_endtag(self, tag):
        if tag not in VOID and self.here.tag == tag:
            self.here = self.here.parent

    def handle_data(self, data):
        self.here.children.append(data)


def tree(html):
    """The page as elements."""
    builder = _Builder()
    builder.feed(html)
    return builder.root


def is_working(node):
    """Whether the element is a figure that opens its working."""
    return node.tag == "details" and "fig" in node.classes


class Walk:
    """Pages fetched once each."""

    def __init__(self, reader):
        self.reader, self.pages = reader, {}

    def page(self, url):
        """The page of an address, None where there is none to read."""
        url = urldefrag(url)[0]
        if url not in self.pages:
            response = self.reader.get(url, follow=True)
            is_page = response["Content-Type"].startswith("text/html")
            assert response.status_code == 200, (url, response.status_code)
            self.pages[url] = tree(response.content.decode()) if is_page else None
        return self.pages[url]

    def links(self, url):
        """Where a page leads, in this book."""
        page = self.page(url)
        for node in page.below() if page else ():
            href = node.attrs.get("href")
            if node.tag == "a" and href:
                goal = urldefrag(urljoin(url, href))[0]
                if goal.startswith("/") and not goal.startswith(("/static/", "/demo/")):
                    yield goal

    def reached(self, start, inside=""):
        """Every page that can be reached by links from `start`, below the address `inside`."""
        seen, waiting = {start}, deque([start])
        while waiting:
            url = waiting.popleft()
            if self.page(url) is not None:
                yield url
                for goal in self.links(url):
                    if goal not in seen and re.match(inside, goal):
                        seen.add(goal)
                        waiting.append(goal)
