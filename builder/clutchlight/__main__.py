"""`python -m clutchlight` is the `clutchlight` command."""

from clutchlight.cli import main

if __name__ == "__main__":
    main()
