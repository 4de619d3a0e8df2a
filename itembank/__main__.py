"""The program `itembank`, also as `python -m itembank`."""


def run() -> None:
    """Run the program. Whoever interrupts it before it listens gets no traceback either."""
    try:
        from itembank.cli.main import run as program

        program()
    except KeyboardInterrupt:
        raise SystemExit(130) from None


if __name__ == "__main__":
    run()
