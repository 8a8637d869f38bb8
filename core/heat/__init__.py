"""How heat leaves a face through powder, gap and sink; SI units throughout."""
