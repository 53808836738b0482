"""One file from outside → records: a spreadsheet as it is, a log, or another breeder's statement.

sheets (bytes → rows) → columns (what each holds) → cells and genes (what each says) → rows (one animal each) → families
(clutches, siblings) → records (files) → trial (read them before they are written) → report. `asking` puts the questions.
Nothing is all or nothing: what is understood is taken, what is not stands in one file of rows with the reason.
"""
