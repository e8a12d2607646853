"""What follows from what is known: belief, advice, the interview. Pure: no files, no clock, no printing."""
