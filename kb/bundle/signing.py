"""Signatures by OpenSSH, for those who have it: `ssh-keygen -Y sign` and `-Y verify` (PROTOCOL.sshsig).

A signature says that whoever holds a key signed these very bytes, for this use. Whose key it is
says a list of the user's own (ALLOWED SIGNERS in ssh-keygen's manual): a name and a key a line.
"""

import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from kb.bundle.contents import BundleError
from kb.outside import OutsideError, Ran, run_program

USE: Final = "canebrake-bundle"
"""The namespace: a signature for another use does not count."""
SUFFIX: Final = ".sig"
_SECONDS: Final = 120.0


def signed(content: bytes, key: Path, environ: Mapping[str, str]) -> bytes:
    """Sign bytes with a key's file. Raises `BundleError`."""
    ran = _run(["-Y", "sign", "-f", str(key), "-n", USE], content, environ)
    if ran.code or not ran.stdout.startswith(b"-----BEGIN SSH SIGNATURE-----"):
        raise BundleError(f"it was not signed: {_said(ran)}")
    return ran.stdout


def signer(content: bytes, signature: Path, signers: Path, environ: Mapping[str, str]) -> str:
    """Give the name that the list of signers has for whoever signed. Raises `BundleError`."""
    for path, what in ((signature, "signature"), (signers, "list of signers")):
        if not path.is_file():
            raise BundleError(f"there is no {what} {path}")
    found = _run(["-Y", "find-principals", "-s", str(signature), "-f", str(signers)], b"", environ)
    names = found.stdout.decode("utf-8", "replace").split("\n")
    if found.code or not names[0].strip():
        raise BundleError(f"the signature was made by a key that {signers} does not list")
    name = names[0].strip()
    words = ["-Y", "verify", "-f", str(signers), "-I", name, "-n", USE, "-s", str(signature)]
    ran = _run(words, content, environ)
    if ran.code:
        raise BundleError(f"the signature does not fit this file: {_said(ran)}")
    return name


def _run(words: list[str], given: bytes, environ: Mapping[str, str]) -> Ran:
    program = shutil.which("ssh-keygen", path=environ.get("PATH", ""))
    if program is None:
        raise BundleError("ssh-keygen (OpenSSH 8.2 or newer) is not on the search path")
    try:
        return run_program([program, *words], given=given, environ=environ, seconds=_SECONDS)
    except OutsideError as fault:
        raise BundleError(str(fault)) from fault


def _said(ran: Ran) -> str:
    lines = (ran.stderr or ran.stdout).decode("utf-8", "replace").strip().splitlines()
    return (lines[-1] if lines else "it gave no reason")[:300]
