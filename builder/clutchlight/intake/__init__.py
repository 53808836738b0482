"""One file from outside → records: a spreadsheet as it is, a log, or another breeder's statement.

columns (bytes → rows, what each column holds) → cells and genes (what each says) → rows (one animal each) → taking (clutches, siblings,
records) → trial (read them before they are written) → run (one screen). `asking` puts the questions.
Nothing is all or nothing: what is understood is taken, what is not stands in one file of rows with the reason.
"""
