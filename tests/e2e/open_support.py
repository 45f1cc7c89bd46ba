"""The program serving its page: started, asked, stopped."""

import http.client
import json
import os
import signal
import socket
import subprocess
import time

from support import PROGRAM


class Opened:
    """papermason open in a folder of its own."""

    def __init__(self, folder, *words, program=PROGRAM):
        environment = dict(os.environ, XDG_DATA_HOME=str(folder / "data"), LC_ALL="en_US.UTF-8")
        self.process = subprocess.Popen([program, "open", "--no-browser", "--json", *map(str, words)],
                                        stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment)
        lines = []
        while not lines or lines[-1].strip() != b"}":
            line = self.process.stdout.readline()
            if not line:
                raise AssertionError(self.process.stderr.read().decode())
            lines.append(line)
        said = json.loads(b"".join(lines))
        self.address, self.port = said["address"], said["port"]
        self.token = self.address.split("token=")[1]
        self.host = f"127.0.0.1:{self.port}"

    def request(self, method, path, body=None, headers=None, token=True, timeout=60):
        """Status, headers and body of one request; headers with the value None are left out."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout)
        try:
            all_headers = {"Host": self.host, **({"X-Papermason-Token": self.token} if token else {}), **(headers or {})}
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in all_headers.items():
                if value is not None:
                    connection.putheader(name, value)
            if body is not None:
                connection.putheader("Content-Length", str(len(body)))
            connection.endheaders(body)
            reply = connection.getresponse()
            return reply.status, reply.headers, reply.read()
        finally:
            connection.close()

    def ask(self, **message):
        status, _, body = self.request("POST", "/message", json.dumps(message).encode())
        assert status == 200, (status, body)
        return json.loads(body)

    def state(self):
        return self.ask(ask="state")["state"]

    def picture(self, data, name="picture.png"):
        status, _, body = self.request("POST", f"/picture?name={name}", data)
        assert status == 200, (status, body)
        return json.loads(body)

    def wait(self, level="whole", seconds=120):
        """The state once it knows as much, or has an error."""
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            state = self.state()
            if state["answer"] == level or state["error"]:
                return state
            time.sleep(0.05)
        raise AssertionError(f"not {level} after {seconds} s: {state['work']}")

    def wait_kit(self, seconds=120):
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            kit = self.state()["kit"]
            if not kit["busy"]:
                return kit
            time.sleep(0.05)
        raise AssertionError("no kit")

    def raw(self, data=b"", timeout=20):
        """A connection with these bytes sent."""
        there = socket.create_connection(("127.0.0.1", self.port), timeout=timeout)
        there.sendall(data)
        return there

    def memory_kb(self):
        with open(f"/proc/{self.process.pid}/status", encoding="ascii") as status:
            return int(next(line for line in status if line.startswith("VmRSS")).split()[1])

    def lives(self):
        return self.process.poll() is None

    def stop(self, how=signal.SIGTERM, seconds=30):
        """The exit code, and what was said on standard error."""
        if self.lives():
            self.process.send_signal(how)
        code = self.process.wait(seconds)
        said = self.process.stderr.read().decode()
        self.process.stdout.close()
        self.process.stderr.close()
        return code, said
