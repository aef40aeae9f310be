"""Run the command line as ``python -m wood_xl``."""

import sys


def run() -> None:
    """Run it; an error while loading it becomes one line."""
    try:
        from wood_xl.cli import main  # noqa: PLC0415
    except KeyboardInterrupt:
        message = "Stopped. Nothing was written."
    except (ImportError, SyntaxError) as fault:  # not installed, or a Python that is too old
        message = f"STOP  wood_xl cannot start: {fault}. It needs Python 3.11 or newer, and to be installed by pip."
    else:
        main()
        return
    sys.stderr.write(f"\n{message}\n")
    sys.exit(3)


if __name__ == "__main__":
    run()
