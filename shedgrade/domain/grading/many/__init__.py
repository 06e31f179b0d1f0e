"""Many fruit at once, in arrays of whole numbers: the same answers as ``one.grade`` for each."""
