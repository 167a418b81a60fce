# Web and worker of Colla Parte, the same image. Everything else comes by environment.
FROM python:3.11-slim

ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1 PIP_DISABLE_PIP_VERSION_CHECK=1
WORKDIR /srv/collaparte
RUN useradd --system --create-home --home-dir /srv/var collaparte \
 && install -d -o collaparte -g collaparte /srv/var/files

COPY requirements.txt requirements-served.txt requirements.lock ./
RUN pip install --no-cache-dir -r requirements-served.txt -c requirements.lock
COPY . .

# Static files are part of the image; the key is for this one command and kept nowhere.
ENV VAR_DIR=/srv/var STATIC_DIR=/srv/static
RUN SECRET_KEY=only-for-collecting-the-static-files-now python manage.py collectstatic --no-input -v 0

USER collaparte
EXPOSE 8000
HEALTHCHECK --interval=15s --timeout=5s --start-period=40s \
  CMD ["python", "-c", "import urllib.request as u; u.urlopen('http://127.0.0.1:8000/healthz', timeout=4)"]
CMD ["gunicorn", "config.wsgi", "--worker-class", "gthread", "--workers", "2", "--threads", "8", \
     "--bind", "0.0.0.0:8000", "--graceful-timeout", "20", "--access-logfile", "-"]
