"""Forms as a browser would send them: every control of a form with what stands in it."""

from __future__ import annotations

from web.walking import Node, tree


def form_on(html, **wanted):
    """The form whose hidden fields say this: form_on(page, act="reading")."""
    for form in (node for node in tree(html).below() if node.tag == "form"):
        found = controls(form)
        if all(found.get(name) == value for name, value in wanted.items()):
            return form
    raise LookupError(wanted)


def controls(form):
    """Names and values, as they stand when the form is sent untouched by its plain button."""
    found = {}
    for node in form.below():
        name = node.attrs.get("name")
        if not name:
            continue
        if node.tag == "input" and node.attrs.get("type") in ("radio", "checkbox"):
            if "checked" in node.attrs:
                found[name] = node.attrs.get("value", "on")
        elif node.tag == "input":
            found[name] = node.attrs.get("value", "")
        elif node.tag == "textarea":
            found[name] = words(node)
        elif node.tag == "select":
            options = [child for child in node.below() if child.tag == "option"]
            chosen = [option for option in options if "selected" in option.attrs] or options[:1]
            found[name] = chosen[0].attrs.get("value", "")
    return found


def words(node: Node) -> str:
    """Everything that is written in an element."""
    return "".join(text for text, _ in node.texts())


def has_class(html, name):
    """Every element of that class."""
    return [node for node in tree(html).below() if name in node.classes]
