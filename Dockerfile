# One image for web server, workers and beat; which of them it is stands in its command. No root, hashed libraries only.
FROM python:3.12-slim-trixie

RUN apt-get update \
    && DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends \
       libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core \
       postgresql-client-17 \
    && rm -rf /var/lib/apt/lists/*

WORKDIR /tickover
COPY requirements/run.txt requirements/run.txt
RUN python -m pip install --no-cache-dir --only-binary :all: --require-hashes -r requirements/run.txt

COPY manage.py ./
COPY garage garage
COPY diagnostics diagnostics
COPY jobs jobs
COPY templates templates
COPY static static

# Style sheets, scripts, pictures and fonts, each named by what is in it and packed: browsers keep them for ever.
ENV STATIC_BUILT=/tickover/built
RUN DATA=/tmp python manage.py collectstatic --no-input --verbosity 0 && chmod -R a+rX built

RUN useradd --system --uid 10001 --home-dir /kept --create-home tickover
USER tickover
ENV DATA=/kept PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1
VOLUME /kept
EXPOSE 8000
STOPSIGNAL SIGTERM
ENTRYPOINT ["python", "-m", "garage.running.serve", "--host", "0.0.0.0", "--port", "8000"]
CMD ["--part", "all"]
