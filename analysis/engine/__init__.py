"""The pure core: a score file in; table, findings and answers to claims out.

Nothing here knows Django, Celery or the apps (an import contract guards it).
The doors are ``gate.admit``, ``reader.read``, ``analyses.analyse`` and
``claims.answer``; every one is a function of its arguments alone.
"""

ENGINE_VERSION = "1.5"
