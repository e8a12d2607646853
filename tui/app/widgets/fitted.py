"""A widget whose content depends on its width, and whose height follows from that."""

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget


class Fitted(Widget):
    """Says what it shows in a given width; height and picture come from the same answer."""

    DEFAULT_CSS = "Fitted { height: auto; width: 1fr; }"

    def content(self, width: int) -> Content:
        """Give what is shown in `width` cells."""
        raise NotImplementedError

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Say how many lines it takes: Textual's own answer would be of the width before."""
        del container, viewport
        shown = self.content(width)
        return len(shown.wrap(max(1, width))) if shown.plain else 0

    def render(self) -> Content:
        """Show it in the width that there is."""
        return self.content(self.content_size.width)
