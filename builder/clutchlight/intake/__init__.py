"""One file from outside → records: a spreadsheet as it is, a log, or another breeder's statement.

columns (bytes → rows, what each column holds) → animal_rows (one for each animal) → rows (what each says, by cells, days, genes, standing
and families) → taking (clutches, records) → trial (read them before they are written) → run (one screen). `asking`
puts the questions, `words` holds what people write. Nothing is all or nothing: what is understood is taken, what is not stands in one
file of rows with the reason.
"""
