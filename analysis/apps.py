from django.apps import AppConfig


class AnalysisConfig(AppConfig):
    name = "analysis"

    def ready(self) -> None:
        from analysis import receivers  # noqa: F401 (connects)
        from analysis.jobs.registry import register

        gave_up = "analysis.pipeline.gave_up"
        register("gate", "analysis.pipeline.gate", time_limit=180, on_failed=gave_up)
        register("read", "analysis.pipeline.read", time_limit=600, on_failed=gave_up)
        may_see = "analysis.services.engravings.may_see_job"
        register("engrave", "analysis.engraving.engrave", time_limit=180, may_see=may_see,
                 may_retry=may_see)  # fmt: skip
        register("sound", "analysis.sounding.sound", time_limit=120, may_see=may_see,
                 may_retry=may_see)  # fmt: skip
        register("reduce", "analysis.reducing.reduce", time_limit=180)
