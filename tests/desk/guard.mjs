/**
 * What the server must refuse: other hosts, other origins, calls without the key, files over the cap, paths out of the folder.
 */

import http from "node:http";
import { hold } from "./hand.mjs";

/** One plain request; answers with its status, headers and text. Cut short, it announces more than it ever sends. */
export function request(url, { method = "GET", path = "/", headers = {}, body = null, isCutShort = false }) {
  const { hostname, port } = new URL(url);
  return new Promise((resolve, reject) => {
    const call = http.request({ hostname, port, method, path, headers }, (answer) => {
      let text = "";
      answer.setEncoding("utf8");
      answer.on("data", (part) => (text += part));
      answer.on("end", () => resolve({ status: answer.statusCode, headers: answer.headers, text }));
    });
    call.on("error", reject);
    if (isCutShort) call.write(body);
    else call.end(body);
  });
}

/** The key that stands in the page. */
export async function keyOf(url) {
  const page = await request(url, {});
  return /name="desk-key" content="([^"]+)"/.exec(page.text)?.[1] ?? "";
}

/** All checks of the guard. */
export async function guard(results, url) {
  const { host, port } = new URL(url);
  const key = await keyOf(url);
  const json = { "Content-Type": "application/json" };

  await results.check("the page carries a key of its own and a strict policy", async () => {
    const page = await request(url, {});
    const policy = page.headers["content-security-policy"] ?? "";
    hold(key.length >= 16, `the key is "${key}"`);
    hold(policy.includes("default-src 'none'") && policy.includes("script-src 'self'") && policy.includes("frame-ancestors 'none'"), `the policy is "${policy}"`);
    hold(page.headers["x-content-type-options"] === "nosniff", "nosniff is missing");
    hold(!/<script(?![^>]*src=)/.test(page.text) && !/ style=/.test(page.text), "the page holds a script or style of its own");
  });

  await results.check("a foreign host is refused", async () => {
    for (const name of ["example.com", `example.com:${port}`, "127.0.0.1.example.com", `192.0.2.1:${port}`]) {
      const answer = await request(url, { path: "/state", headers: { Host: name } });
      hold(answer.status === 403, `Host ${name} was answered with ${answer.status}`);
    }
    const own = await request(url, { path: "/state", headers: { Host: host } });
    hold(own.status === 200, `its own host was answered with ${own.status}`);
  });

  await results.check("a foreign origin is refused, even with the key", async () => {
    for (const origin of ["http://example.com", "https://127.0.0.1", `http://127.0.0.1:${Number(port) + 1}`, "null"]) {
      const answer = await request(url, { method: "POST", path: "/undo", headers: { ...json, "Desk-Key": key, Origin: origin }, body: '{"base":0}' });
      hold(answer.status === 403, `Origin ${origin} was answered with ${answer.status}`);
    }
  });

  await results.check("a call without the right key is refused", async () => {
    for (const wrong of [{}, { "Desk-Key": "" }, { "Desk-Key": `${key}x` }]) {
      const answer = await request(url, { method: "POST", path: "/undo", headers: { ...json, ...wrong }, body: '{"base":0}' });
      hold(answer.status === 403, `answered with ${answer.status}`);
    }
  });

  await results.check("an upload over the cap is refused", async () => {
    const answer = await request(url, { method: "POST", path: "/upload?name=huge.png", headers: { "Desk-Key": key, "Content-Length": 65 << 20 }, body: "x", isCutShort: true });
    hold(answer.status === 413, `answered with ${answer.status}`);
  });

  await results.check("what is no JSON is refused with words", async () => {
    const answer = await request(url, { method: "POST", path: "/change", headers: { ...json, "Desk-Key": key }, body: "{" });
    hold(answer.status === 400 && JSON.parse(answer.text).problem, `answered with ${answer.status} ${answer.text.slice(0, 80)}`);
  });

  await results.check("paths from the page stay in the folder", async () => {
    for (const path of ["/page/../Cargo.toml", "/page/..%2f..%2fCargo.toml", "/made/..%2f..%2fetc%2fpasswd", "/picture/..%2f..%2f..%2fetc%2fpasswd"]) {
      const answer = await request(url, { path });
      hold(answer.status >= 400 && !/root:|\[package\]/.test(answer.text), `${path} was answered with ${answer.status}`);
    }
    const answer = await request(url, { method: "POST", path: "/open", headers: { ...json, "Desk-Key": key }, body: '{"project":"../../../etc/passwd"}' });
    hold(answer.status >= 400, `opening a file outside was answered with ${answer.status}`);
  });
}
