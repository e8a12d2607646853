"""What the engine refuses to answer, rather than answer roughly without saying so.

Apart from the sweep, so that a front can catch it without loading the numbers.
"""


class TooWideError(Exception):
    """The table of one round would outgrow the budget; `width` sets were reached when the sweep gave up."""

    def __init__(self, width: int) -> None:
        super().__init__(
            f"too many of the answers of one round hang together to be weighed exactly "
            f"(more than {width} ways to explain them); take back some yes answers that you are least sure of"
        )
        self.width = width
