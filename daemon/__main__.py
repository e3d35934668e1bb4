"""`python -m otherseat.daemon`: the same as the command `otherseat`."""

from otherseat.daemon.cli import main

if __name__ == "__main__":
    main()
