"""What a person typed, taken in with the line and column of every word: text rules, YAML, fields, strict shapes."""
