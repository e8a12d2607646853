"""An entry's time as a moment that can be compared. The log, the engine and the screens all ask for it."""

from datetime import UTC, datetime


def moment(at: str) -> datetime:
    """Read an entry's time; one that cannot be read (damaged, foreign) counts as long ago."""
    try:
        read = datetime.fromisoformat(at)
    except ValueError:
        return datetime.min.replace(tzinfo=UTC)
    return read if read.tzinfo is not None else read.replace(tzinfo=UTC)
