"""Replicas of the service: behind nginx with one stopped and started, and as Kubernetes is told of them."""

from __future__ import annotations

import itertools
import os
import re
import shutil
import subprocess

import kubernetes_validate
import pytest
import yaml

from house import ROOT
from many_marks import cell
from served import HOST, Server, kept_port, listens, until
from stampwright.web import SETTINGS
from stampwright_sdk import Client
from stampwright_sdk.embedded import loopback_session

NGINX = shutil.which("nginx", path=f"{os.environ['PATH']}:/usr/sbin")
CONF = """
daemon off;
worker_processes 1;
pid {folder}/nginx.pid;
error_log {folder}/error.log;
events {{ worker_connections 256; }}
http {{
  access_log {folder}/access.log combined;
  client_body_temp_path {folder}/body;
  proxy_temp_path {folder}/proxy;
  fastcgi_temp_path {folder}/fastcgi;
  uwsgi_temp_path {folder}/uwsgi;
  scgi_temp_path {folder}/scgi;
  client_max_body_size 20m;
  upstream replicas {{
    server 127.0.0.1:{one} max_fails=1 fail_timeout=1s;
    server 127.0.0.1:{two} max_fails=1 fail_timeout=1s;
  }}
  log_format combined_upstream '$upstream_addr';
  server {{
    listen 127.0.0.1:{port};
    access_log {folder}/upstreams.log combined_upstream;
    location / {{
      proxy_pass http://replicas;
      proxy_http_version 1.1;
      proxy_set_header Connection "";
      proxy_next_upstream error timeout http_502 http_503 non_idempotent;
    }}
  }}
}}
"""


@pytest.fixture(scope="module")
def replicas():
    """Two that are up."""
    with Server(slots=1, linger_s=2) as one, Server(slots=1, linger_s=2) as other:
        yield one, other


@pytest.fixture
def balanced(replicas, tmp_path):
    """The address of a balancer before two replicas."""
    if NGINX is None:
        pytest.skip("nginx is not installed")
    keeper = kept_port()
    port = keeper.getsockname()[1]
    one, two = (server.port for server in replicas)
    conf = tmp_path / "nginx.conf"
    user = "user root;\n" if os.geteuid() == 0 else ""
    conf.write_text(user + CONF.format(folder=tmp_path, one=one, two=two, port=port))
    with subprocess.Popen([NGINX, "-p", tmp_path, "-c", conf, "-e", tmp_path / "error.log"]) as process:  # noqa: S603
        until(lambda: listens(port))
        yield f"http://{HOST}:{port}"
        process.terminate()
    keeper.close()


def test_a_replica_stopped_and_started_loses_no_request(balanced, replicas, tmp_path):
    with loopback_session() as session, Client(balanced, session=session, max_wait=60, retries=100) as client:
        made = client.make_many((cell(number) for number in range(30)), workers=4)
        first = list(itertools.islice(made, 10))
        replicas[0].end()
        second = list(itertools.islice(made, 10))
        replicas[0].begin()
        third = list(made)
    results = [*first, *second, *third]
    assert [result.error for result in results if result.error] == []
    assert sorted(result.index for result in results) == list(range(30))
    asked = (tmp_path / "upstreams.log").read_text()
    assert all(asked.count(str(server.port)) > 2 for server in replicas)


def test_any_replica_gives_the_same_bytes(replicas):
    bodies = []
    for server in replicas:
        with Client(server.url) as client:
            bodies.append(client.make_stamp(cell(7), accept="bundle").body)
    assert bodies[0] == bodies[1]


MANIFEST = list(yaml.safe_load_all((ROOT / "service/deploy/kubernetes.yaml").read_text()))


@pytest.mark.parametrize("resource", MANIFEST, ids=lambda resource: resource["kind"])
def test_every_resource_fits_the_published_schema(resource):  # the schemas of Kubernetes itself, by a package of theirs
    kubernetes_validate.validate(resource, kubernetes_validate.latest_version(), strict=True)


def test_the_probes_ask_what_the_service_answers():
    paths = yaml.safe_load((ROOT / "openapi.yaml").read_text())["paths"]
    (container,) = MANIFEST[0]["spec"]["template"]["spec"]["containers"]
    probes = [container[f"{kind}Probe"]["httpGet"]["path"] for kind in ("startup", "readiness", "liveness")]
    assert set(probes) <= set(paths)


def test_the_resources_belong_together():
    deployment, service, scaler, budget = MANIFEST
    labels = deployment["spec"]["template"]["metadata"]["labels"]
    assert service["spec"]["selector"] == labels
    assert budget["spec"]["selector"]["matchLabels"] == labels
    assert scaler["spec"]["scaleTargetRef"]["name"] == deployment["metadata"]["name"]


def test_the_manifest_names_settings_that_there_are():
    text = (ROOT / "service/deploy/kubernetes.yaml").read_text()
    known = {f"STAMPWRIGHT_{setting.name.upper()}" for setting in SETTINGS}
    assert set(re.findall(r"STAMPWRIGHT_[A-Z_]+", text)) <= known
