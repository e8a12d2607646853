"""Merging by entry and by key, on the authors' own texts: three files become one.

`merge(base, ours, theirs)` gives the new text with what was taken and what is in conflict, or a
problem when a file cannot be read. `kb.merge.lists` says what order means, `kb.merge.threeway`
decides, `kb.merge.redraw` writes.
"""

from kb.merge.merged import Given, LostChangeError, Merged, merge, where
from kb.merge.redraw import Sides, Unmade
from kb.merge.threeway import Conflict, Edit

__all__ = ["Conflict", "Edit", "Given", "LostChangeError", "Merged", "Sides", "Unmade", "merge", "where"]
