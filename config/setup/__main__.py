"""`python3 -m config.setup runtime|tests`: everything a run, or the tests, need."""

import sys

OLDEST = (3, 11)


def main() -> None:
    """Do what is not done yet."""
    if sys.version_info < OLDEST:
        sys.exit("Loftbook needs Python 3.11 or newer: make PYTHON3=/path/to/python3.11 ...")
    from config.setup import own_files, python_environment, system_packages

    wanted = sys.argv[1:] or ["runtime"]
    if wanted not in (["runtime"], ["tests"]):
        sys.exit("usage: python3 -m config.setup runtime|tests")
    requirements = ["requirements.txt"]
    if wanted == ["tests"]:
        requirements.append("requirements-dev.txt")
    python_environment.ensure(requirements)
    system_packages.ensure_libraries()
    if wanted == ["tests"]:
        system_packages.ensure_test_programs()
    own_files.ensure()
    python_environment.compile_search()


if __name__ == "__main__":
    main()
