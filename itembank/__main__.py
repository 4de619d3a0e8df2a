"""`python -m itembank`."""

from itembank.cli.main import run

if __name__ == "__main__":
    run()
