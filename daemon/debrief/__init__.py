"""The debrief: what was planned, what happened, and what would have been better; one flight or a school's worth."""
