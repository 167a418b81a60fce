from django.apps import AppConfig


class KillConfig(AppConfig):
    name = "tests.kill"
    label = "killtest"

    def ready(self) -> None:
        from analysis.jobs.registry import register

        register("kill-effect", "tests.kill.work.effect", time_limit=60)
        register("kill-poison", "tests.kill.work.poison", time_limit=60)
