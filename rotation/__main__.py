"""`python -m rotation`."""

from rotation.commands import main

if __name__ == "__main__":
    main()
