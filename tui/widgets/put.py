"""Give a widget what it shows, and only where that has changed: what stands already is not laid out and drawn again."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option


def put(shown: Static, content: Content) -> None:
    """Show this content."""
    if not isinstance(shown.content, Content) or not shown.content.is_same(content):
        shown.update(content)


def put_options(shown: OptionList, options: Sequence[Option], highlighted: int | None) -> None:
    """Show these options with one highlighted; where the same ones stand, only their texts are changed."""
    with shown.prevent(OptionList.OptionHighlighted):
        if [(o.id, o.disabled) for o in shown.options] != [(o.id, o.disabled) for o in options]:
            shown.set_options(options)
        else:
            for place, (old, new) in enumerate(zip(shown.options, options, strict=True)):
                if not _same(old.prompt, new.prompt):
                    shown.replace_option_prompt_at_index(place, new.prompt)
        if shown.highlighted != highlighted:
            shown.highlighted = highlighted
        shown.scroll_to_highlight()


def _same(one: object, other: object) -> bool:
    return isinstance(one, Content) and isinstance(other, Content) and one.is_same(other)
