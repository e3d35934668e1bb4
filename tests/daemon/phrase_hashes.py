"""Wordings that must not be spoken, as hashes: what people know from warning boxes and call-out products.

Every run of one to four words of a phrase is hashed with SALT and looked up. The clear list is not kept; a wording is
added by its hash: python -m tests.daemon.phrase_hashes WORDING prints it.
"""

import hashlib
import re
import sys
from collections.abc import Iterator

SALT = "otherseat phrases"
LONGEST = 4
DIGITS = 16
WORD = re.compile(r"[a-z0-9]+")


def words(text: str) -> list[str]:
    """Return a text's words, in small letters, without apostrophes and hyphens."""
    return WORD.findall(text.lower().replace("'", "").replace("-", " "))


def hashed(run: str) -> str:
    """Return the hash of a run of words."""
    return hashlib.sha256(f"{SALT} {run}".encode()).hexdigest()[:DIGITS]


def runs(text: str) -> Iterator[str]:
    """Yield every run of one to four words."""
    found = words(text)
    for length in range(1, LONGEST + 1):
        for start in range(len(found) - length + 1):
            yield " ".join(found[start : start + length])


def known_from_boxes(text: str) -> list[str]:
    """Return the runs of a text that people know from boxes."""
    return [run for run in runs(text) if hashed(run) in BANNED]


BANNED = frozenset(
    """
    005e69f1c657eb2e 00fe5ee497a49927 01b109bee50f854a 01fabe3e0e5b0242 025ea29b559ecc52 02971136be5a4134
    033aa4fd71fdfa8f 039de1dc32dd5b7b 054535baa8b1d7f6 060485d927989f70 07e68d0483a2610d 0e5f5ee7d0b87e47
    143ce66b02902780 179d9d4bbeab6cb6 180a5cc3695cb650 1a19f8fe00ff8f87 1b9abe0b7c56b840 1c85171a1bc0c248
    1cdb05337bd803ad 21a58e0d42c8e1ad 230e55a105601ef3 241c603283fb1078 2533c7d2e4be0019 2643f9839f82a46e
    29ce2195f9fd7c1f 2a0e081bd3d542e8 2ae06db8f12bc91d 2cfc189f5573d496 2d2397f817c5f6de 2d9115ef4c18d72b
    2dfc0636295080d6 2ea5736123e1dae4 30cc45659bde378e 334e15ce46541fe8 34c3b637849c2fec 362bb140a8f170e3
    365a7ce19ce07823 387876930e46e3db 393d292ac096d5f3 3f259ac20ec5cbde 40ee09dc88e43ce2 40fe184c771c6092
    413de9f9255933bb 431a91a7207e1f53 4701453cd0a9b540 49107397054c2a41 4a9be600de2717a5 4b1b1ac7bd990727
    4c4199646ce804e2 4f0098482e88402e 513c34d020bead72 522a5fb97e67c0a8 52e56a29958a828e 5330b9d2506245c9
    589c3c2dc1dabd1f 5c3d99510a41b0c1 5d060ba9998d54a5 600c6849a07d921c 601d22056a1bdf46 61bb8d79878154be
    6317b254e63fc7bd 64fca2d33becb41e 692c61d82e273d81 69b6fed74cda8757 6a196abcf5ef568b 6a7bf279f0fea13d
    6aec4841aa1917fb 6d70e39aed695b6a 6e136f7a7c512016 71380c7194c1b4c9 7142a87297f2f311 72d30f2ebdbc7cd9
    72e65862407505ae 73fec15c654fab9a 7519eda2d30d3c71 77828fa59a60d3ab 783f7754f539ef53 78a7539674b0d5fe
    7a5101b1b64e6960 7ff9a68e41b962e8 80349a1964b54473 81b7c61c839c7fa0 82e40322d1ee620f 836b7bfb0d38f1e5
    83f138b50c50ba83 84f1ec02344414d8 868503fa2b35a072 8787848c58e2e2e0 8a17dc7f5b1c0e31 8b63d35867683e85
    8c441c0a9cd6ed6a 8cf17ec7a901b6ba 8d3cbd85fc5489e3 8e40dd3c2ec62eba 8ee93c74bfebe84a 8f027384cda6c0b9
    8fa15e20533b726a 919a64980df0539a 91fd78450c47f84f 937df83cbd3b8649 9789ceafa7083186 98a7b89f4354a323
    9c1cc77ceb6d74e5 a094f05e541abf84 a55466c3cf923fbb a5bdf8a74fd2eac2 a652672433a1cb7d a7ee10e952b39fba
    a8e4e34dcf474ed7 a90b3d8c971f1a4a ac5b059cb5230ee5 b157fcdd4324cb09 b19c8fd1fbda7525 b27669f13604f692
    b3465d774a4b95ad b4ab28a0d2a069ae b6bbfa60cb69237e b80974687a9b53a1 b9cadad06e299665 b9e91a9552d285c5
    ba509a43b2802b5b badea7411b99f5e0 bff6e02019a5894d c101b7c6e73e88c6 c13aaa5675fab126 c18fc48c09c21fbf
    c2d50ed3577c70fc c365bc9db8747319 c3fdab9e38aaf1db c44fd495849cc2a9 c6a9d7c62902cbc6 c8a18af3f3bdfafc
    ca11edf130e82d81 cc3e34aa5ddc945d ce3ce9aaf8c5fa37 d05b590a2a4d9cc2 d0f51f0902c3ad1c d0f567288b95c3e2
    d10c8b4914c02adc d42d1b3340bd7d02 d44997f927e34f57 d450e3fae1e4aa2b d4fc60aa6f8a497f d53eaa57d660c6c5
    d6a1533fe2a2cda2 d6e225ad8c1c74c2 d81f120e4fcf70fb dad999c40ada6152 dce7ee609593561e de9f473a0d359d09
    dea8cd11841b73e3 dee579b4e69e546e e32d53e0ae598935 e7de4999c60e5270 ea588aefa35e76b6 ec0928d4bb5d432e
    ec12621223d57260 ec3c97c37eff13bd ec5700abb36e956d ec6acd6cca4c496f ee82697e5ecf6b4c f3934d5e0adb1f37
    f5656dbd9464aa41 f57d414ec901026a f60ee6e06be06706 f84ddbd678d4cf60 f865fd7ca7e1ed68 f9161eeaf617c6b1
    f9c9148015b7588f fc6ee7d507292d32 fe2640e1f190c2b7 fe990a2505eed422
    """.split()  # noqa: SIM905 - two hundred quoted strings are no easier to read
)

if __name__ == "__main__":
    print(hashed(" ".join(words(" ".join(sys.argv[1:])))))  # noqa: T201 - a command's output
