/**
 * Speaks with the server of the desk: JSON over HTTP, on this computer alone.
 */

/** What the server would not do, with its words and, where it sends one, the present state. */
export class Refused extends Error {
  /**
   * @param {number} status of HTTP; 0 if no answer came
   * @param {string} problem in words for people
   * @param {object|null} answer the whole answer, where it was JSON
   */
  constructor(status, problem, answer = null) {
    super(problem);
    this.status = status;
    this.answer = answer;
  }
}

function key() {
  return document.querySelector("meta[name=desk-key]").content;
}

/**
 * Asks for something.
 *
 * @param {string} path
 * @param {AbortSignal} [signal] gives the question up
 */
export function ask(path, signal) {
  return call(path, { signal });
}

/**
 * Sends something that changes the state or starts work.
 *
 * @param {string} path
 * @param {object} body
 * @param {AbortSignal} [signal]
 */
export function send(path, body = {}, signal = undefined) {
  return call(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", "Desk-Key": key() },
    body: JSON.stringify(body),
    signal,
  });
}

/**
 * Sends a file as it is.
 *
 * @param {string} path
 * @param {Blob} file
 */
export function sendFile(path, file) {
  return call(path, {
    method: "POST",
    headers: { "Content-Type": "application/octet-stream", "Desk-Key": key() },
    body: file,
  });
}

async function call(path, options) {
  let response;
  try {
    response = await fetch(path, { cache: "no-store", ...options });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Refused(0, "The desk does not answer. Is the program still running in its window?");
  }
  const answer = await read(response);
  if (response.ok) return answer;
  throw new Refused(response.status, problemOf(response.status, answer), answer);
}

async function read(response) {
  const text = await response.text();
  try {
    return text === "" ? null : JSON.parse(text);
  } catch {
    return null;
  }
}

function problemOf(status, answer) {
  if (answer && typeof answer.problem === "string" && answer.problem !== "") return answer.problem;
  switch (status) {
    case 403:
      return "This page is from an earlier start of the desk. Load it again, then it may make changes.";
    case 404:
      return "The desk does not have that.";
    case 409:
      return "The project was changed in another window meanwhile.";
    case 413:
      return "That file is too large: 64 MB are the most.";
    default:
      return `The desk could not do that (${status}).`;
  }
}

/** Parameters of a path, without the empty ones. */
export function query(values) {
  const pairs = Object.entries(values).filter(([, value]) => value !== null && value !== undefined && value !== "");
  return new URLSearchParams(pairs).toString();
}
