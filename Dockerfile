# The service as an image. Build: docker build -t stampwright .
# Run: docker run --read-only --cap-drop ALL --security-opt no-new-privileges --pids-limit 256 --memory 3g -p 8080:8080 stampwright
# The base can be pinned by the digest that your registry gives it: docker build --build-arg BASE=python@sha256:… -t stampwright .
# Any base with Python 3.11 as `python` and pip does.

ARG BASE=python:3.11-slim-bookworm
FROM ${BASE} AS build
WORKDIR /build
COPY service/runtime.lock service/runtime.lock
RUN python -m venv /app && /app/bin/pip install --no-cache-dir --require-hashes --only-binary :all: -r service/runtime.lock
COPY pyproject.toml README.md ./
COPY service/stampwright service/stampwright
RUN pip install --no-cache-dir hatchling==1.33.0 \
    && pip wheel --no-cache-dir --no-deps --no-build-isolation --wheel-dir /wheels . \
    && /app/bin/pip install --no-cache-dir --no-deps /wheels/*.whl \
    && /app/bin/python -m compileall -q /app/lib

FROM ${BASE}
LABEL org.opencontainers.image.title="stampwright" \
      org.opencontainers.image.description="From a customer's vector mark to a milled branding iron"
ENV PYTHONDONTWRITEBYTECODE=1 PYTHONUNBUFFERED=1 PATH=/app/bin:$PATH
COPY --from=build /app /app
USER 65534:65534
EXPOSE 8080
HEALTHCHECK --interval=10s --timeout=3s --start-period=10s \
    CMD ["python", "-c", "import urllib.request; urllib.request.urlopen('http://127.0.0.1:8080/healthz', timeout=2)"]
CMD ["python", "-m", "stampwright", "serve", "--host", "0.0.0.0", "--port", "8080"]
