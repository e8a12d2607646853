"""Every key of the full screen, declared once. Cards, foot line, help screen and docs read it here.

An answer has one key on every card. A key never means two things that could be mistaken for each
other: what is written down for good (`d`, done) shares no key with an answer.
"""

from typing import Final

from textual.binding import Binding

YES = Binding("y", "answer('yes')", "yes", id="answer-yes", tooltip="It shows")
SLIGHTLY = Binding(
    "s", "answer('slightly')", "slightly", id="answer-slightly", tooltip="It shows a little, or perhaps"
)
NO = Binding("n", "answer('no')", "no", id="answer-no", tooltip="It does not show")
UNSURE = Binding(
    "u", "answer('unsure')", "unsure", id="answer-unsure", tooltip="Cannot tell; go on without it"
)
ALL_FINE = Binding("a", "all_fine", "all fine", id="all-fine", tooltip="Nothing is wrong there")
SOMETHING = Binding(
    "p",
    "something_wrong",
    "something is wrong",
    id="something-wrong",
    tooltip="Pick what is wrong from a list",
)
ASK_ME = Binding("e", "ask_me", "ask me", id="ask-me", tooltip="Be asked one thing at a time")
PICKED = Binding("d", "picked", "that is all", id="picked", tooltip="Keep what was taken from the list")
DONE = Binding("d", "done", "done", id="done", tooltip="The step is done; go on")
LATER = Binding(
    "d",
    "rest_now",
    "leave it till then",
    id="rest-now",
    tooltip="Put the reed away till the next sitting",
)
GRADE = Binding("g", "grade", "grade it", id="grade", tooltip="Say what the reed is good for")

ANSWERS: Final = (YES, SLIGHTLY, NO, UNSURE)

FINDING = Binding("f", "finding", "I found…", id="finding", tooltip="Say something that was not asked")
MEASURE = Binding("m", "measure", "measured…", id="measure", tooltip="Give a reading that was not asked for")
OTHER = Binding("o", "other", "did another…", id="other", tooltip="Something else was done to the reed")
REMARK = Binding("r", "remark", "remark", id="remark", tooltip="Write a line into the reed's log")
WHY = Binding("w", "why", "why", id="why", tooltip="All reasons for this step, with figures")
BACK = Binding(
    "z,backspace",
    "take_back",
    "take back",
    id="take-back",
    key_display="z",
    tooltip="Take back what was said or done last",
)
TRAIL = Binding("t", "trail", "so far", id="trail", tooltip="All so far; take back any of it")
BLADE = Binding("b", "blade", "blade up", id="blade", tooltip="Say which blade is up")
WHERE = Binding(
    "enter",
    "where",
    "show me where",
    id="where",
    key_display="Enter",
    tooltip="See the place on the reed, large, before you do it",
)
CLOCK = Binding(
    "c",
    "clock",
    "clock",
    id="clock",
    tooltip="Wait for the time that a step takes; again: stand still, go on",
)
WEATHER = Binding(
    "h", "weather", "weather", id="weather", show=False, tooltip="Temperature and humidity of this sitting"
)
STOP = Binding("x", "stop", "enough today", id="stop", tooltip="Leave the reed until the next sitting")
KEEP_FILE = Binding(
    "k",
    "keep_file",
    "as a file…",
    id="keep-file",
    tooltip="Keep map, handout, tree, chart or reed as a file: SVG, PNG, PDF, DOT, HTML",
)
UP = Binding(
    "up,pageup",
    "scroll_card(-3)",
    "card up",
    id="card-up",
    key_display="↑",
    show=False,
    tooltip="Read the card from higher up",
)
DOWN = Binding(
    "down,pagedown",
    "scroll_card(3)",
    "card down",
    id="card-down",
    key_display="↓",
    show=False,
    tooltip="Read the rest of a long card",
)
NEW = Binding("n", "new", "new reed", id="new-reed", tooltip="Put a new reed into the box")
LENGTHS = Binding(
    "i", "lengths", "mm / inch", id="lengths", show=False, tooltip="Show lengths in millimetres or in inches"
)
MAP = Binding(
    "v",
    "map",
    "map",
    id="map",
    show=False,
    tooltip="Walk from what shows to why and to what helps",
)
LIGHT = Binding(
    "l", "light", "colours", id="light", show=False, tooltip="By lamp, by day, or with high contrast"
)
SETTINGS = Binding(
    "comma",
    "settings",
    "settings",
    id="settings",
    key_display=",",
    show=False,
    tooltip="Units, names of notes, colours, the bell, the mouse",
)
HELP = Binding("question_mark", "help", "help", id="help", key_display="?", tooltip="All keys")
LEAVE = Binding("q", "leave", "leave", id="leave", tooltip="Leave; everything is kept")
INTERRUPT = Binding(
    "ctrl+c",
    "interrupt",
    "leave at once",
    id="interrupt",
    key_display="Ctrl-C",
    priority=True,
    show=False,
    tooltip="Leave from anywhere; everything is kept",
)

SITTING: Final = (
    *ANSWERS,
    ALL_FINE,
    SOMETHING,
    PICKED,
    ASK_ME,
    WHERE,
    DONE,
    LATER,
    GRADE,
    WHY,
    BACK,
    FINDING,
    MEASURE,
    OTHER,
    REMARK,
    TRAIL,
    CLOCK,
    BLADE,
    WEATHER,
    STOP,
    KEEP_FILE,
    MAP,
    LENGTHS,
    UP,
    DOWN,
)
"""Keys of a sitting, in the order of the help screen."""

UNNAMED: Final = frozenset({KEEP_FILE})
"""Keys that the foot line of a sitting leaves to `?`: a second line more would cost the card one."""
FEW: Final = (HELP, WHY, BACK, TRAIL, LEAVE)
"""What the foot line of a narrow window names; `?` shows the others."""
ANYWHERE: Final = (LIGHT, SETTINGS, HELP, LEAVE, INTERRUPT)

CHOOSE = Binding(
    "enter", "choose", "choose", id="choose", key_display="Enter", tooltip="Take the line under the mark"
)
CLOSE = Binding(
    "escape", "close", "back", id="close", key_display="Esc", tooltip="Go back; nothing is written"
)
SEEN = Binding("enter", "close", "seen", id="seen", key_display="Enter", tooltip="Go back to the step")
EMPTY = Binding(
    "escape", "empty", "empty", id="empty", key_display="Esc", show=False, tooltip="Drop what was typed"
)
KEEP_LINE = Binding(
    "enter", "keep", "keep", id="keep-line", key_display="Enter", tooltip="Keep what is written"
)
SCROLL = Binding("up,down", "scroll", "move", id="scroll", key_display="↑ ↓", tooltip="Move through the page")
OPEN_REED = Binding(
    "enter", "choose", "open", id="open-reed", key_display="Enter", tooltip="Go on with this reed"
)


MAP_OF = Binding("v", "go('map')", "map", id="map-of", tooltip="Walk the map of a ruleset")

RULES_OF = Binding("r", "go('rules')", "rules", id="rules-of", tooltip="Read or write the text of a ruleset")

PRACTISE: Final = Binding(
    "p", "go('practice')", "practice", id="practise", tooltip="Practise on a virtual reed with a hidden fault"
)

STORY: Final = Binding(
    "h", "story", "story", id="story", tooltip="All that the log tells of the reed, with its measurements"
)
GRADE_REED: Final = Binding("g", "grade", "grade", id="grade-reed", tooltip="Say what the reed is good for")
REST_REED: Final = Binding(
    "e", "rest", "let rest", id="rest-reed", tooltip="Leave the reed until its next sitting"
)
ASIDE: Final = Binding("a", "aside", "set aside", id="aside", tooltip="Give the reed up, with the reason")
FILTER: Final = Binding(
    "slash", "filter", "only…", id="filter", key_display="/", tooltip="Show only reeds that hold some words"
)

BOX: Final = (
    OPEN_REED,
    NEW,
    STORY,
    GRADE_REED,
    REST_REED,
    ASIDE,
    FILTER,
    MAP_OF,
    RULES_OF,
    PRACTISE,
    KEEP_FILE,
)
"""Keys of the box of reeds."""

WALK_UP = Binding(
    "up", "walk(0, -1)", "up", id="walk-up", key_display="↑", show=False, tooltip="The entry above"
)
WALK_DOWN = Binding(
    "down", "walk(0, 1)", "walk", id="walk-down", key_display="↑ ↓ ← →", tooltip="The entry below"
)
WALK_LEFT = Binding(
    "left", "walk(-1, 0)", "left", id="walk-left", key_display="←", show=False, tooltip="Towards what shows"
)
WALK_RIGHT = Binding(
    "right", "walk(1, 0)", "right", id="walk-right", key_display="→", show=False, tooltip="Towards what helps"
)
FOCUS = Binding(
    "enter",
    "focus_entry",
    "only round this",
    id="focus-entry",
    key_display="Enter",
    tooltip="Show only what has to do with the marked entry",
)
WIDEN = Binding(
    "escape,backspace",
    "widen",
    "back",
    id="widen",
    key_display="Esc",
    tooltip="Back to what was shown before; from the whole map, leave it",
)
SEEK = Binding("slash", "seek", "find", id="seek", key_display="/", tooltip="Find an entry by a few letters")
DRAWING = Binding(
    "d", "drawing", "drawn", id="drawing", tooltip="The part round the marked entry, with all its lines"
)
OUTLINE = Binding("o", "outline", "in words", id="outline", tooltip="The same as an outline, line by line")
ENTRY_UP = Binding(
    "pageup",
    "scroll_entry(-5)",
    "entry up",
    id="entry-up",
    key_display="PgUp",
    show=False,
    tooltip="Read the entry from higher up",
)
ENTRY_DOWN = Binding(
    "pagedown",
    "scroll_entry(5)",
    "entry down",
    id="entry-down",
    key_display="PgDn",
    show=False,
    tooltip="Read the rest of a long entry",
)

MAP_WALK: Final = (
    WALK_UP,
    WALK_DOWN,
    WALK_LEFT,
    WALK_RIGHT,
    FOCUS,
    WIDEN,
    SEEK,
    DRAWING,
    OUTLINE,
    KEEP_FILE,
    ENTRY_UP,
    ENTRY_DOWN,
)
"""Keys of the map."""

ENTRIES: Final = Binding(
    "f2", "entries", "entries", id="entries", key_display="F2", tooltip="Go to an entry by a few letters"
)
NEXT_PROBLEM: Final = Binding(
    "f3",
    "next_problem",
    "next problem",
    id="next-problem",
    key_display="F3",
    tooltip="Go to the next problem",
)
SAVE: Final = Binding("ctrl+s", "save", "save", id="save", key_display="Ctrl-S", tooltip="Write the file")
UNDO: Final = Binding(
    "ctrl+z",
    "undo_text",
    "undo",
    id="undo-text",
    key_display="Ctrl-Z",
    show=False,
    tooltip="Take the last change back",
)
REDO: Final = Binding(
    "ctrl+y", "redo_text", "redo", id="redo-text", key_display="Ctrl-Y", show=False, tooltip="Make it again"
)
FORM_OF: Final = Binding(
    "f4", "form", "form", id="form", key_display="F4", tooltip="Fill in the entry at the cursor, key by key"
)
NEW_ENTRY: Final = Binding(
    "f9",
    "new_entry",
    "new entry",
    id="new-entry",
    key_display="F9",
    tooltip="Add an entry by filling in its form",
)
TRIALS: Final = Binding(
    "f5", "trials", "trials", id="trials", key_display="F5", tooltip="Run the trials of the text as it stands"
)
BESIDE: Final = Binding(
    "f8",
    "beside",
    "beside another",
    id="beside",
    key_display="F8",
    tooltip="What differs from another ruleset, the two wordings side by side",
)
KEEP_RULES: Final = Binding(
    "f12",
    "keep_file",
    "as a file…",
    id="keep-rules",
    key_display="F12",
    tooltip="Keep map, handout, tree, chart or reed as a file: SVG, PNG, PDF, DOT, HTML",
)
KEEP_FORM: Final = Binding(
    "ctrl+s",
    "keep_form",
    "put into the text",
    id="keep-form",
    key_display="Ctrl-S",
    tooltip="Write it into the text",
)
LINE_UP: Final = Binding(
    "up",
    "next_line(-1)",
    "up",
    id="line-up",
    key_display="↑",
    show=False,
    priority=True,
    tooltip="The key above",
)
LINE_DOWN: Final = Binding(
    "down", "next_line(1)", "next", id="line-down", key_display="↑ ↓", priority=True, tooltip="The key below"
)
FORM: Final = (LINE_UP, LINE_DOWN, KEEP_FORM, CLOSE)
"""Keys of a form."""
BLADE_OF: Final = Binding(
    "f2", "next_blade", "blade", id="blade-of", key_display="F2", tooltip="Upper, lower, or not said"
)
SIDE_OF: Final = Binding(
    "f3", "next_side", "side", id="side-of", key_display="F3", tooltip="Left, right, or not said"
)
KEEP_THICKNESS: Final = Binding(
    "ctrl+s", "keep_form", "keep", id="keep-thickness", key_display="Ctrl-S", tooltip="Write it into the log"
)
THICKNESS: Final = (LINE_UP, LINE_DOWN, BLADE_OF, SIDE_OF, KEEP_THICKNESS, CLOSE)
"""Keys of the sheet of thicknesses."""
GO_THERE: Final = Binding(
    "enter", "choose", "go there", id="go-there", key_display="Enter", tooltip="Go to it in the text"
)
HELP_F1: Final = Binding("f1", "app.help", "help", id="help-f1", key_display="F1", tooltip="All keys")
CLOSE_RULES: Final = Binding(
    "escape,q",
    "close_rules",
    "leave",
    id="close-rules",
    key_display="Esc",
    tooltip="Leave; what is not saved is asked about",
)

LAYER: Final = Binding(
    "f10",
    "layer",
    "one of your own upon it",
    id="layer",
    key_display="F10",
    tooltip="Begin a ruleset of your own that stands on this one, which is only read",
)

RULES: Final = (
    ENTRIES,
    NEXT_PROBLEM,
    FORM_OF,
    NEW_ENTRY,
    TRIALS,
    KEEP_RULES,
    BESIDE,
    SAVE,
    UNDO,
    REDO,
    LAYER,
    HELP_F1,
    CLOSE_RULES,
)
"""Keys of the text of a ruleset: none of them is a letter."""
WRITING: Final = tuple(one for one in RULES if one is not LAYER)
"""What the foot line names over a text that is written."""
READING: Final = (ENTRIES, NEXT_PROBLEM, TRIALS, KEEP_RULES, BESIDE, LAYER, HELP_F1, CLOSE_RULES)
"""The same over one that ships with canebrake and is only read."""

ANYTHING: Final = Binding(
    "slash",
    "anything",
    "find anything out",
    id="anything",
    key_display="/",
    tooltip="Whatever way it is come by",
)
SAID_UP: Final = Binding(
    "pageup",
    "scroll_said(-5)",
    "up",
    id="said-up",
    key_display="PgUp",
    show=False,
    tooltip="Read from higher up",
)
SAID_DOWN: Final = Binding(
    "pagedown", "scroll_said(5)", "read on", id="said-down", key_display="PgDn", tooltip="Read the rest"
)
TAKE: Final = Binding(
    "enter",
    "choose",
    "choose",
    id="take",
    key_display="1–8",
    tooltip="Find something out, do something, or stop",
)
PRACTICE: Final = (TAKE, ANYTHING, SAID_UP, SAID_DOWN)
"""Keys of practice."""


def shown(binding: Binding) -> str:
    """Give the key as it is printed on its cap."""
    return binding.key_display or binding.key
