from django.apps import AppConfig


class SubmissionsConfig(AppConfig):
    name = "submissions"

    def ready(self) -> None:
        from analysis.jobs.registry import register
        from submissions import receivers  # noqa: F401 (connects)

        register("check", "submissions.checking.check", time_limit=60)
        register("recheck", "submissions.checking.recheck", time_limit=300)
