"""papermason open: who may ask, what is too much, events, the way from a picture to a proven kit, and being killed."""

import io
import json
import os
import random
import signal
import socket
import subprocess
import threading
import time
import unittest
import zipfile

from open_support import Opened
from support import PROGRAM, ProgramTest, target_picture

ALL = os.environ.get("PM_ALL") == "1"


class OpenTest(ProgramTest):
    def open(self, *words, **options):
        opened = Opened(self.folder, *words, **options)
        self.addCleanup(opened.process.stderr.close)
        self.addCleanup(opened.process.stdout.close)
        self.addCleanup(lambda: opened.lives() and opened.process.kill())
        return opened

    def ends_well(self, opened, how=signal.SIGTERM):
        self.assertTrue(opened.lives(), "the program should still run")
        code, said = opened.stop(how)
        self.assertEqual((code, said), (0, ""))


class Gate(OpenTest):
    def test_who_may_ask(self):
        opened = self.open()
        body = b'{"ask": "state", "n": 1}'

        def status(headers, path="/message", method="POST", data=body, token=True):
            return opened.request(method, path, data, headers, token)[0]

        self.assertEqual(status({}), 200)
        self.assertEqual(status({"Origin": f"http://{opened.host}"}), 200)
        wrong_hosts = [None, "", "localhost", f"localhost:{opened.port}", "127.0.0.1", opened.host + ".example.org", f"{opened.host} ", "127.0.0.1:1",
                       f"127.0.0.1:{opened.port}0", f"example.org:{opened.port}", f"[::1]:{opened.port}"]
        for host in wrong_hosts:
            if host and host.endswith(" "):
                continue  # blanks at the end are no part of a value
            self.assertIn(status({"Host": host}), (400, 403), host)
        for origin in ["null", "http://example.org", "http://127.0.0.1", f"https://{opened.host}", f"http://{opened.host}.example.org", ""]:
            self.assertEqual(status({"Origin": origin}), 403, origin)
        wrong_tokens = ["", "0" * 32, opened.token[:-1], opened.token + "0", opened.token.upper() + "x", opened.token[::-1]]
        for token in wrong_tokens:
            self.assertEqual(status({"X-Papermason-Token": token}), 403, token)
            self.assertEqual(opened.request("GET", f"/events?token={token}", token=False)[0], 403)
        self.assertEqual(status({}, token=False), 403)
        self.assertEqual(opened.request("POST", f"/message?token={opened.token}", body, token=False)[0], 200)
        self.ends_well(opened)

    def test_two_hosts_are_one_too_many(self):
        opened = self.open()
        with opened.raw(f"GET /?token={opened.token} HTTP/1.1\r\nHost: {opened.host}\r\nHost: example.org\r\n\r\n".encode()) as there:
            self.assertIn(there.recv(12)[9:12], (b"400", b"403"))
        self.ends_well(opened)

    def test_only_this_machine(self):
        opened = self.open()
        with open("/proc/net/tcp", encoding="ascii") as lines:
            mine = [line.split()[1] for line in lines if line.split()[1].endswith(f":{opened.port:04X}") and line.split()[3] == "0A"]
        self.assertEqual(mine, [f"0100007F:{opened.port:04X}"])
        self.ends_well(opened, signal.SIGINT)

    def test_methods_and_places(self):
        opened = self.open()
        for method in ["HEAD", "PUT", "DELETE", "OPTIONS", "TRACE", "BREW"]:
            self.assertEqual(opened.request(method, "/message")[0], 405, method)
        for path in ["/nothing", "/../etc/passwd", "/%2e%2e/etc/passwd", "//etc/passwd", "/sheets/../../x", "/.git/config", "/index.html/", "/a\\b", "/kit.zip"]:
            self.assertEqual(opened.request("GET", path)[0], 404, path)
        self.assertEqual(opened.request("POST", "/state", b"{}")[0], 404)
        self.assertEqual(opened.request("GET", "/message")[0], 404)
        self.ends_well(opened)

    def test_headers_of_every_reply(self):
        opened = self.open()
        for method, path, body in [("POST", "/message", b"{}"), ("GET", "/nothing", None), ("HEAD", "/", None), ("GET", "/favicon.ico", None)]:
            status, headers, _ = opened.request(method, path, body)
            self.assertEqual(headers["X-Content-Type-Options"], "nosniff", path)
            self.assertEqual(headers["Referrer-Policy"], "no-referrer")
            policy = headers["Content-Security-Policy"]
            self.assertIn("default-src 'none'", policy)
            self.assertIn("frame-ancestors 'none'", policy)
            self.assertNotIn("unsafe", policy)
            self.assertIsNone(headers["Access-Control-Allow-Origin"])
            if status != 204:
                self.assertIn(headers["Cache-Control"], ("no-store", "no-cache"))
        self.ends_well(opened)


class PageFiles(OpenTest):
    def test_from_a_folder_and_never_outside(self):
        page = self.folder / "page"
        (page / "view").mkdir(parents=True)
        (page / "index.html").write_text("<!doctype html><title>table</title>")
        (page / "view" / "table.js").write_text("export const a = 1;\n")
        (page / ".hidden").write_text("no")
        (self.folder / "secret.txt").write_text("no")
        os.symlink(self.folder / "secret.txt", page / "link.txt")
        os.symlink(self.folder, page / "out")
        opened = self.open("--page-from", page)
        status, headers, body = opened.request("GET", f"/?token={opened.token}", token=False)
        self.assertEqual((status, body), (200, b"<!doctype html><title>table</title>"))
        self.assertEqual(headers["Content-Type"], "text/html; charset=utf-8")
        self.assertEqual(opened.request("GET", "/", token=False)[0], 403)
        status, headers, body = opened.request("GET", "/view/table.js", token=False)
        self.assertEqual((status, headers["Content-Type"]), (200, "text/javascript; charset=utf-8"))
        self.assertEqual(opened.request("GET", "/view/table.js", headers={"If-None-Match": headers["ETag"]})[0], 304)
        (page / "view" / "table.js").write_text("export const a = 2;\n")
        self.assertEqual(opened.request("GET", "/view/table.js", headers={"If-None-Match": headers["ETag"]})[0], 200)
        for path in ["/link.txt", "/out/secret.txt", "/.hidden", "/../secret.txt", "/view", "/view/", "/view/../../secret.txt"]:
            self.assertEqual(opened.request("GET", path)[0], 404, path)
        self.ends_well(opened)


class TooMuch(OpenTest):
    def test_large_bodies(self):
        opened = self.open()
        large = b'{"ask": "state", "x": "' + b"x" * (4 << 20) + b'"}'
        status, _, body = opened.request("POST", "/message", large)
        self.assertEqual(status, 413)
        self.assertIn("4 MB", json.loads(body)["error"]["text"])
        fits = b'{"ask": "state", "x": "' + b"x" * ((4 << 20) - 100) + b'"}'
        self.assertEqual(opened.request("POST", "/message", fits)[0], 200)
        head = f"POST /picture?name=a HTTP/1.1\r\nHost: {opened.host}\r\nX-Papermason-Token: {opened.token}\r\nContent-Length: 99999999999\r\n\r\n"
        with opened.raw(head.encode()) as there:
            self.assertEqual(there.recv(12)[9:12], b"413")
        self.ends_well(opened)

    def test_chunked_bodies_hit_the_limit_too(self):
        opened = self.open()
        head = f"POST /message HTTP/1.1\r\nHost: {opened.host}\r\nX-Papermason-Token: {opened.token}\r\nTransfer-Encoding: chunked\r\n\r\n"
        chunk = b"10000\r\n" + b" " * 0x10000 + b"\r\n"
        with opened.raw(head.encode()) as there:
            for _ in range(80):
                there.sendall(chunk)
            there.sendall(b"0\r\n\r\n")
            self.assertEqual(there.recv(12)[9:12], b"413")
        with opened.raw(head.encode() + b"18\r\n" + b'{"ask": "state", "n": 7}' + b"\r\n0\r\n\r\n") as there:
            self.assertEqual(there.recv(12)[9:12], b"200")
        self.assertLess(opened.memory_kb(), 200_000)
        self.ends_well(opened)

    def test_long_headers(self):
        opened = self.open()
        with opened.raw(f"GET /{'a' * 200000} HTTP/1.1\r\nHost: {opened.host}\r\n\r\n".encode()) as there:
            try:
                self.assertIn(there.recv(12)[9:12], (b"413", b"414", b"431", b"400", b"500", b""))
            except ConnectionResetError:
                pass
        self.assertEqual(opened.ask(ask="state")["ok"], True)
        self.ends_well(opened)


class Patience(OpenTest):
    def test_slow_clients_hold_nobody_up(self):
        opened = self.open()
        slow = [opened.raw() for _ in range(15)]
        slow += [opened.raw(f"POST /picture?name=a HTTP/1.1\r\nHost: {opened.host}\r\nX-Papermason-Token: {opened.token}\r\nContent-Length: 1000\r\n\r\nabc".encode())
                 for _ in range(15)]
        began = time.monotonic()
        for _ in range(20):
            self.assertTrue(opened.ask(ask="state")["ok"])
        self.assertLess(time.monotonic() - began, 10)
        for there in slow:
            there.close()
        self.ends_well(opened)

    def test_garbage_in_parallel(self):
        opened = self.open()
        seed = random.randrange(1 << 30)
        print(f"seed {seed}")
        chance = random.Random(seed)
        good = f"POST /message HTTP/1.1\r\nHost: {opened.host}\r\nX-Papermason-Token: {opened.token}\r\nContent-Length: 16\r\n\r\n" + '{"ask": "state"}'

        def garbage():
            kind = chance.randrange(4)
            if kind == 0:
                return chance.randbytes(chance.randrange(1, 2000))
            data = bytearray(good.encode())
            if kind == 1:
                for _ in range(chance.randrange(1, 9)):
                    data[chance.randrange(len(data))] = chance.randrange(256)
                return bytes(data)
            if kind == 2:
                return bytes(data[:chance.randrange(len(data))])
            body = chance.randbytes(chance.randrange(1, 5000))
            return f"POST /{chance.choice(['message', 'picture'])} HTTP/1.1\r\nHost: {opened.host}\r\nX-Papermason-Token: {opened.token}\r\nContent-Length: {len(body)}\r\n\r\n".encode() + body

        def send(data):
            try:
                with opened.raw(data, timeout=5) as there:
                    there.shutdown(socket.SHUT_WR)
                    while there.recv(65536):
                        pass
            except OSError:
                pass

        requests = [garbage() for _ in range(200)]
        threads = [threading.Thread(target=send, args=(data,)) for data in requests]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(60)
        self.assertTrue(opened.ask(ask="state")["ok"])
        self.ends_well(opened)

    def test_many_connections_in_a_row(self):
        opened = self.open()
        rounds, each = (5, 10_000) if ALL else (3, 300)
        memory = []
        body = b'{"ask": "state"}'
        data = (f"POST /message HTTP/1.1\r\nHost: {opened.host}\r\nX-Papermason-Token: {opened.token}\r\nContent-Length: {len(body)}\r\n"
                "Connection: close\r\n\r\n").encode() + body
        for _ in range(rounds):
            for _ in range(each):
                with opened.raw(data) as there:
                    self.assertEqual(there.recv(12)[9:12], b"200")
            memory.append(opened.memory_kb())
        print(f"memory after each round of {each}, kB: {memory}")
        self.assertLess(memory[-1] - memory[0], 10_240)
        self.ends_well(opened)


class Events(OpenTest):
    def read_events(self, opened, until, headers=""):
        """Events of a stream until one of them is this."""
        found = []
        with opened.raw(f"GET /events?token={opened.token} HTTP/1.1\r\nHost: {opened.host}\r\n{headers}\r\n".encode(), timeout=60) as there:
            file = there.makefile("rb")
            while True:
                line = file.readline()
                if not line:
                    return found
                if line.startswith(b"data: "):
                    found.append(json.loads(line[6:]))
                    if until(found[-1]):
                        return found

    def test_answers_come_as_events(self):
        opened = self.open()
        found = []
        reader = threading.Thread(target=lambda: found.extend(self.read_events(opened, lambda e: e["event"] == "rest")))
        reader.start()
        time.sleep(0.3)
        self.assertTrue(opened.picture(target_picture())["ok"])
        reader.join(60)
        words = [e.get("answer", e["event"]) for e in found if e["event"] in ("answer", "rest")]
        self.assertEqual(words, ["colours", "first", "whole", "grid", "offers", "rest"])
        again = self.read_events(opened, lambda e: e["event"] == "rest", "Last-Event-ID: 1\r\n")
        self.assertEqual(again[-1], found[-1])
        self.ends_well(opened)

    def test_too_many_pages_are_told(self):
        opened = self.open()
        streams = []
        for _ in range(16):
            there = opened.raw(f"GET /events?token={opened.token} HTTP/1.1\r\nHost: {opened.host}\r\n\r\n".encode())
            self.assertEqual(there.recv(12)[9:12], b"200")
            streams.append(there)
        self.assertEqual(opened.request("GET", "/events")[0], 503)
        self.assertTrue(opened.ask(ask="state")["ok"])
        began = time.monotonic()
        self.ends_well(opened)  # with streams open
        self.assertLess(time.monotonic() - began, 10)
        for there in streams:
            there.close()


class Job(OpenTest):
    def test_picture_to_proven_kit(self):
        opened = self.open()
        self.assertTrue(opened.picture(target_picture(), "My%20target.png")["ok"])
        self.assertTrue(opened.ask(ask="change", lines=[{"set": "height", "to": "18in"}, {"set": "paper", "to": "5x7"}])["ok"])
        state = opened.wait()
        self.assertIsNone(state["error"])
        self.assertTrue(opened.ask(ask="take", open_with="svg")["ok"])
        kit = opened.wait_kit()
        self.assertTrue(kit["ready"], kit)
        status, headers, body = opened.request("GET", f"/kit.zip?token={opened.token}", token=False)
        self.assertEqual(status, 200)
        self.assertIn("My-target-18in.zip", headers["Content-Disposition"])
        zipfile.ZipFile(io.BytesIO(body)).extractall(self.folder)
        done = subprocess.run([PROGRAM, "prove", self.folder / "My-target-18in"], capture_output=True, text=True, check=False)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual(opened.request("GET", "/guide.pdf")[2][:4], b"%PDF")
        sheet = next(p for p in (self.folder / "My-target-18in" / "sheets").iterdir() if p.suffix == ".svg")
        self.assertEqual(opened.request("GET", f"/sheets/{sheet.name}")[2], sheet.read_bytes())
        for piece in ("B1", "A1"):
            self.assertTrue(opened.ask(ask="tick", piece=piece, mark="cut")["ok"])
        self.ends_well(opened)
        # Two pieces are cut, and nothing else has changed. The same job from its file on the command line: the same bytes.
        job = self.folder / "data" / "papermason" / "jobs" / "My-target.pmason"
        done = subprocess.run([PROGRAM, "build", job, "-o", self.folder / "again"], capture_output=True, text=True, check=False)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual((self.folder / "again" / "kit.json").read_bytes(), (self.folder / "My-target-18in" / "kit.json").read_bytes())

    def test_job_taken_along(self):
        opened = self.open("--jobs", self.folder / "here")
        self.assertEqual(opened.request("GET", "/job.pmason")[0], 404)
        opened.picture(target_picture(), "target.png")
        opened.ask(ask="change", line={"set": "height", "to": "9in"})
        status, headers, job = opened.request("GET", f"/job.pmason?token={opened.token}", token=False)
        self.assertEqual((status, headers["Content-Disposition"]), (200, 'attachment; filename="target.pmason"'))
        self.assertEqual(opened.request("GET", "/job.pmason", token=False)[0], 403)
        self.assertEqual([path.name for path in (self.folder / "here").iterdir()], ["target.pmason"])
        self.ends_well(opened)
        opened = self.open("--jobs", self.folder / "there")
        reply = opened.picture(job, "from%20Ann.pmason")
        self.assertTrue(reply["ok"])
        self.assertEqual(reply["state"]["job"]["path"], str(self.folder / "there" / "from-Ann.pmason"))
        self.assertEqual(reply["state"]["docket"][0]["says"], "It stands 9 in tall")
        damaged = job[:200] + bytes(len(job) - 200)
        self.assertFalse(opened.picture(damaged, "damaged.pmason")["ok"])
        self.assertEqual(len(opened.ask(ask="jobs")["jobs"]), 1)
        self.assertEqual(opened.state()["job"]["file"], "from-Ann.pmason")
        self.ends_well(opened)

    def test_what_is_no_picture(self):
        opened = self.open()
        reply = opened.picture(b"Dear aunt, no picture this time")
        self.assertFalse(reply["ok"])
        self.assertIn("not a picture", reply["error"]["text"])
        self.assertTrue(opened.picture(target_picture()[:200])["ok"])
        self.assertEqual(opened.wait()["error"]["kind"], "input")
        self.ends_well(opened)

    def test_words_of_the_command_line(self):
        picture = self.folder / "target.png"
        picture.write_bytes(target_picture())
        opened = self.open(picture, "--jobs", self.folder / "mine")
        self.assertEqual(opened.state()["job"]["name"], "target")
        self.ends_well(opened)
        opened = self.open(self.folder / "mine" / "target.pmason")
        self.assertEqual(opened.state()["job"]["file"], "target.pmason")
        taken = subprocess.run([PROGRAM, "open", "--no-browser", "--port", str(opened.port)], capture_output=True, text=True, check=False,
                               env=dict(os.environ, XDG_DATA_HOME=str(self.folder / "data")))
        self.assertEqual(taken.returncode, 5)
        self.assertIn(str(opened.port), taken.stderr)
        self.ends_well(opened)
        text = self.folder / "letter.txt"
        text.write_text("Dear aunt")
        for words, code in [([text], 3), ([self.folder / "none.pmason"], 3), ([self.folder / "none.png"], 3), (["--port", "0"], 2), (["--port", "99999"], 2), (["a", "b"], 2), (["--height", "4ft"], 2)]:
            done = subprocess.run([PROGRAM, "open", "--no-browser", *map(str, words)], capture_output=True, text=True, check=False,
                                  env=dict(os.environ, XDG_DATA_HOME=str(self.folder / "data")), timeout=30)
            self.assertEqual(done.returncode, code, (words, done.stderr))
            self.assertEqual(done.stderr.count("\n"), 1)

    def test_killed_while_changing(self):
        chance = random.Random(5)
        moments = 30 if ALL else 6
        opened = self.open()
        self.assertTrue(opened.picture(target_picture())["ok"])
        known = 0
        for moment in range(moments):
            ids = []

            def change():
                try:
                    while True:
                        ids.extend(opened.ask(ask="change", line={"edit": "border", "mm": 2 + len(ids) % 9})["ids"])
                except Exception:  # pylint: disable=broad-except  # the program is gone, in one way or another
                    return

            writer = threading.Thread(target=change)
            writer.start()
            time.sleep(0.2 + chance.random() * 0.3)
            opened.process.kill()
            opened.process.wait(20)
            writer.join(20)
            opened = self.open()
            reply = opened.ask(ask="open-job", file="picture.pmason")
            self.assertTrue(reply["ok"], (moment, reply))
            there = [line["id"] for line in reply["state"]["docket"]]
            known += len(ids)
            self.assertEqual(there[:known], sorted(there)[:known])
            self.assertTrue(set(ids) <= set(there), "every change that was answered is in the file")
            self.assertLessEqual(len(there), known + moment + 1, "and at most the one that was not answered")
            known = len(there)
        self.ends_well(opened)


if __name__ == "__main__":
    unittest.main(verbosity=2)
