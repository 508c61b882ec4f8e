"""The state of a job, worked out once, whole, from steps, layout and entries: what is done, what is left over, what may be closed.

Pure Python over plain data, remembering nothing. `handbook.read_handbook` takes the steps as data (build_tools/jobs/steps_data.py
writes them), `state.work_out` a job. The numbers in the docstrings are those of the rules of a job's state.
"""

from __future__ import annotations
