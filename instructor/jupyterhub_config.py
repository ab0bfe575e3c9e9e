"""Settings of a JupyterHub on one Linux computer for a class; see guide.md, "On a hub".

    SOLARLAB_CLASS=/srv/myclass jupyterhub --config instructor/jupyterhub_config.py

nbgrader knows a learner by the user name of the operating system.  So each learner of the roster is a user of
their own here, with a home that no other learner can read, and their id decides their numbers without being
typed.  Teachers are named in SOLARLAB_TEACHERS, with commas between; they alone may see all servers.
"""

import csv
import os
import re

folder = os.environ["SOLARLAB_CLASS"]
with open(os.path.join(folder, "roster.csv"), encoding="utf-8-sig", newline="") as file:
    learners = {row["id"].strip() for row in csv.DictReader(file)} - {""}
teachers = set(filter(None, re.split(r"[\s,]+", os.environ.get("SOLARLAB_TEACHERS", ""))))
unfit = sorted(name for name in learners if not re.fullmatch(r"[a-z_][a-z0-9_-]{0,31}", name))
if unfit:
    raise ValueError(f"These ids cannot be user names (small letters, digits, - and _): {', '.join(unfit)}.")
if learners & teachers:
    raise ValueError(f"Named as teacher and as learner: {', '.join(sorted(learners & teachers))}.")

c = get_config()  # noqa: F821  JupyterHub defines it
c.JupyterHub.bind_url = "http://127.0.0.1:8000"  # put a server that speaks TLS before it
c.JupyterHub.authenticator_class = "pam"  # the operating system's users and passwords
c.JupyterHub.spawner_class = "jupyterhub.spawner.LocalProcessSpawner"  # a process of the user's own
c.Authenticator.allowed_users = learners | teachers
c.Authenticator.admin_users = teachers
c.Authenticator.allow_all = False
c.LocalAuthenticator.create_system_users = True
c.LocalAuthenticator.add_user_cmd = ["useradd", "--create-home", "--key", "HOME_MODE=0700", "--user-group"]
c.JupyterHub.load_roles = [{"name": "user", "scopes": ["self"]}]  # nobody opens another learner's server
c.Spawner.cmd = ["jupyter-labhub"]
c.Spawner.notebook_dir = "~"
c.Spawner.environment = {"SOLARLAB_LEARNER": lambda spawner: spawner.user.name}
