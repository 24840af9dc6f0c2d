"""`python3 service [command ...]`: sets up the environment when it is not there, then runs `stampwright` in it.

Without a command it runs the demo: the beekeepers' marks through the real service, everything left in a folder.
"""

import sys

import environment

environment.run("-m", "stampwright", *(sys.argv[1:] or ["demo"]))
