"""Edits to an author's text that keep every comment, blank line, quote and line end.

A `Draft` is a file as it was read. The verbs (`changed`, `added`, `appended`, `with_entry`,
`without`, `renamed`, `with_entry_text`) each give a new draft or a problem that says why not; each
replaces stretches of the text and never writes the whole anew, and each result was read again and
means what was asked for and nothing else. `save` writes it, unless the file changed meanwhile.
"""

from kb.edit.draft import CANNOT_EDIT, NEW_FILE, Draft, open_draft, save
from kb.edit.made import KeyPath, at, listing, mapping, same, scalar
from kb.edit.renaming import renamed
from kb.edit.slices import entry_text, in_lines, with_entry_text
from kb.edit.verbs import added, appended, changed, with_entry, without

__all__ = [
    "CANNOT_EDIT",
    "NEW_FILE",
    "Draft",
    "KeyPath",
    "added",
    "appended",
    "at",
    "changed",
    "entry_text",
    "in_lines",
    "listing",
    "mapping",
    "open_draft",
    "renamed",
    "same",
    "save",
    "scalar",
    "with_entry",
    "with_entry_text",
    "without",
]
