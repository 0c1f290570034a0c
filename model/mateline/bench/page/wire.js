/* The server: calls that carry the token, and the events that it sends. A call that the server
   refuses throws a Refusal with `what`, `remedy`, `status` and the whole `answer`.              */
const token = document.querySelector('meta[name="bench-token"]').content;

export class Refusal extends Error {
  constructor(status, answer) {
    const { what = "The bench does not answer as it should.", remedy = "" } = answer.error || {};
    super(`${what} ${remedy}`.trim());
    Object.assign(this, { status, answer, what, remedy });
  }
}

async function call(method, path, body, more = {}) {
  let got;
  try {
    got = await fetch(path, { method, headers: { "Bench-Token": token, ...more }, body,
      cache: "no-store" });
  } catch {
    throw new Refusal(0, { error: { what: "The bench has stopped, or can't be reached.",
      remedy: "Start it again with mateline bench; nothing that was written is lost." } });
  }
  const answer = await got.json().catch(() => ({}));
  if (!got.ok) throw new Refusal(got.status, answer);
  return answer;
}

export const get = (path) => call("GET", path);
export const post = (path, value) => call("POST", path, JSON.stringify(value ?? {}),
  { "Content-Type": "application/json" });
/* A text sent as it is; one that is asked for, and with the version of the file that it is of. */
export const send = (path, text) => call("POST", path, text, { "Content-Type": "text/plain" });
export async function getVersioned(path) {
  const got = await fetch(path, { headers: { "Bench-Token": token }, cache: "no-store" });
  if (!got.ok) throw new Refusal(got.status, await got.json().catch(() => ({})));
  return { text: await got.text(), version: got.headers.get("bench-version") };
}
export const getText = async (path) => (await getVersioned(path)).text;
/* A file's bytes (File, Blob or text) to a place in the folder. */
export const put = (path, body) => call("PUT", path, body, { "Content-Type": "application/octet-stream" });
/* The address of a picture or another file that an element asks for by itself. */
export const address = (path) => {
  const whole = new URL(path, location.origin);
  whole.searchParams.set("token", token);
  return whole.pathname + whole.search;
};
/* A file of a cabinet's last build; links in it lead on to the others. */
export const exported = (name, path) => `/cabinets/${encodeURIComponent(name)}/exports/${token}/${path}`;
/* Hear events until `stop()`; after a pause of the connection it is taken up again. */
export function listen(path, heard, lost = () => {}) {
  const source = new EventSource(address(path));
  source.onmessage = (event) => heard(JSON.parse(event.data));
  source.onerror = () => lost(source.readyState === EventSource.CLOSED);
  return { stop: () => source.close() };
}
