from __future__ import annotations

import socket
import subprocess
import sys

import pytest

from springwalk.errors import BadValue
from springwalk.serve import LOCAL, _bind


def test_a_taken_port_is_said_in_the_error_form() -> None:
    """Two servers on one port: the second says which option to change."""
    with socket.socket() as taken:
        taken.bind((LOCAL, 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(BadValue) as told:
            _bind(port)
    assert str(told.value) == f"port = {port}: cannot be used on this machine; give another with --port."


def test_only_this_machine_is_listened_to() -> None:
    """The desk is never open to the network."""
    with _bind(0) as bound:
        assert bound.getsockname()[0] == "127.0.0.1"


def test_importing_serve_is_quick() -> None:
    """The command line imports serve lazily: no web framework is loaded until a server is built."""
    code = (
        "import sys, springwalk.serve;"
        "print(sorted({'fastapi', 'starlette', 'uvicorn', 'matplotlib', 'typst', 'sqlalchemy'} & set(sys.modules)))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"
