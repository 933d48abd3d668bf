"""What the tests of window and command line share."""

import pytest

from app.cli import main


@pytest.fixture
def run(capsys):
    """Run a command here and return its exit code, its output and its complaints."""

    def run(*words):
        try:
            code = main([str(word) for word in words])
        except SystemExit as left:  # argparse leaves by itself
            code = left.code
        said = capsys.readouterr()
        return code, said.out, said.err

    return run
