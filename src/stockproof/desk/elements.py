"""The few elements pages are made of: plain HTML with our own style, and the two components that keep their text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from nicegui import ui
from nicegui.element import Element

from stockproof.desk.yarding import Plan
from stockproof.yard.handles import Handle

__all__ = ["Bring", "Entry", "PlanView", "button", "el", "html", "link"]


class Entry(Element, component="files/entry.js"):
    """One answer of a form; `told` is called with the text when typing pauses."""

    def __init__(
        self,
        kind: str,
        value: str,
        told: Callable[[str], Any],
        *,
        choices: Sequence[str] = (),
        labels: Sequence[str] = (),
        example: str = "",
        rows: int = 4,
        label: str = "",
    ) -> None:
        super().__init__()
        self.value = value
        if label:
            self.props["aria-label"] = label
        self.props.update(kind=kind, value=value, example=example, rows=rows)
        if choices:
            self.props.update(choices=list(choices))
        if labels:
            self.props.update(labels=list(labels))
        self.on("change", lambda event: self._tell(str(event.args), told))

    def _tell(self, text: str, told: Callable[[str], Any]) -> Any:
        self.value = text
        return told(text)

    def doubt(self, wrong: bool) -> None:
        """Show whether the answer can be used."""
        if bool(self.props.get("wrong")) != wrong:
            self.props["wrong"] = wrong
            self.update()


class Bring(Element, component="files/bring.js"):
    """A file chooser; `brought` is called with name and text."""

    def __init__(
        self, label: str, accept: str, brought: Callable[[str, str], Any], refused: Callable[[str], Any]
    ) -> None:
        super().__init__()
        self.props.update(accept=accept, label=label)
        self.on("brought", lambda event: brought(str(event.args[0]), str(event.args[1])))
        self.on("refused", lambda event: refused(str(event.args)))


class PlanView(Element, component="files/plan.js"):
    """The plan of a yard; what is done to a part by hand is told with its key, way or floor."""

    def __init__(
        self,
        choose: Callable[[str], Any],
        tried: Callable[[dict[str, Any]], Any],
        moved: Callable[[dict[str, Any]], Any],
        sized: Callable[[dict[str, Any]], Any],
        wide: Callable[[float], Any],
    ) -> None:
        super().__init__()
        self._handles: dict[str, Handle] = {}
        self.props.update(svg="", handles=[], corner=[0, 0], scale=1, chosen="", epoch=0)
        self.on("choose", lambda event: choose(str(event.args)))
        self.on("trial", lambda event: tried(event.args))
        self.on("move", lambda event: moved(event.args))
        self.on("size", lambda event: sized(event.args))
        self.on("wide", lambda event: wide(float(event.args)))

    @property
    def chosen(self) -> Handle | None:
        """The part that is taken hold of."""
        return self._handles.get(str(self.props["chosen"]))

    def handle(self, key: str) -> Handle | None:
        """Give a part by the key the browser tells."""
        return self._handles.get(key)

    def show(self, plan: Plan) -> None:
        """Show a plan, and let go of what was held."""
        self._handles = {f"{handle.kind} {handle.key}": handle for handle in plan.handles}
        parts = [
            {
                "id": key,
                "label": handle.key[:1].upper() + handle.key[1:],
                "says": _says(handle),
                "kind": handle.kind,
                "ring": [list(at) for at in handle.ring],
                "area": handle.area_m2,
            }
            for key, handle in self._handles.items()
        ]
        self.props.update(svg=plan.svg, handles=parts, corner=list(plan.corner), scale=plan.mm_per_m)
        self.props.pop("mark", None)
        self.let_go()

    def choose(self, key: str) -> None:
        """Take hold of a part."""
        self.props["chosen"] = key
        self.update()

    def point_at(self, at: tuple[float, float]) -> None:
        """Ring a place on the ground."""
        self.props["mark"] = list(at)
        self.update()

    def let_go(self) -> None:
        """Draw parts where the plan has them."""
        self.props["epoch"] += 1
        self.update()


def _says(handle: Handle) -> str:
    floor = f", {handle.area_m2:.0f} m²" if handle.area_m2 is not None else ""
    return f"{handle.key}{floor}: move"


def el(tag: str, text: str = "", classes: str = "", **attributes: Any) -> Element:
    """Give a plain HTML element with text and attributes (`aria_label` becomes `aria-label`)."""
    element = Element(tag)
    if text:
        element._text = text
    if classes:
        element.classes(classes)
    element.props.update({name.rstrip("_").replace("_", "-"): value for name, value in attributes.items()})
    return element


def button(text: str, act: Callable[[], Any], classes: str = "", **attributes: Any) -> Element:
    """Give a button that acts on click, touch and key."""
    return el("button", text, classes, type="button", **attributes).on("click", lambda _: act())


def link(text: str, href: str, classes: str = "", **attributes: Any) -> Element:
    """Give a link."""
    return el("a", text, classes, href=href, **attributes)


def html(markup: str, tag: str = "div", classes: str = "") -> ui.html:
    """Put markup of our own on the page; every word of a user in it was escaped where it was made."""
    return ui.html(markup, sanitize=False, tag=tag).classes(classes)
