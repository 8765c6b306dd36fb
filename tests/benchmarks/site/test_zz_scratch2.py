from __future__ import annotations
import os, time
import pytest
from django.db import connection
from tests.site import serving
from .test_sends import MAILS_KEPT
prepared=serving.prepared
pytestmark=[pytest.mark.benchmark, pytest.mark.django_db(transaction=True)]
def cpu(pids):
    t=0
    for p in pids:
        try: f=open(f'/proc/{p}/stat').read().rsplit(')',1)[1].split()
        except OSError: continue
        t+=int(f[11])+int(f[12])
    return t*10
def web_pids(web):
    out=[]
    for p in os.listdir('/proc'):
        if p.isdigit():
            try: f=open(f'/proc/{p}/stat').read().rsplit(')',1)[1].split()
            except OSError: continue
            if int(f[2])==web.pid: out.append(int(p))
    return out
def pg_pids():
    with connection.cursor() as c:
        c.execute("select pid from pg_stat_activity where datname=current_database() and pid<>pg_backend_pid()")
        return [r[0] for r in c.fetchall()]
def test_cpu(demo_catalogue, tmp_path):
    port=serving.free_port(); env=serving.environment(tmp_path/'web', **MAILS_KEPT)
    web=serving.start_web(port, env)
    with serving.ended(web):
        serving.all_at_once(port, prepared(20))
        n=100
        for rnd in range(2):
            asked=prepared(n)
            for name, what in (('bare',[("/begin/haldor-2/", {})]*n),('send',asked)):
                w,p=web_pids(web),pg_pids(); a,b=cpu(w),cpu(p); t=time.monotonic()
                found=serving.all_at_once(port, what)
                print(name,'web ms/req',(cpu(w)-a)/n,'pg ms/req',(cpu(p)-b)/n,'wall',time.monotonic()-t, len(p),len(pg_pids()))
