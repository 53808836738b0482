"""The species that come with the tool, and the breeder's own traits over them, as values."""
