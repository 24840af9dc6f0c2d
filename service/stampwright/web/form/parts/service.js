// Talks to the service: repeats what it is too busy for, and turns refusals into one kind of error.

const LONGEST_WAIT_S = 20;
const MOST_TRIES = 40;
const REPEATED = new Set([429, 502, 503, 504]);

/** What the service refused (RFC 9457), or why it could not be reached. */
export class Refused extends Error {
  constructor(problem, status) {
    super(problem.detail ?? problem.title ?? String(status));
    this.status = status;
    this.slug = (problem.type ?? "").split("/").pop();
    this.errors = problem.errors ?? [];
  }
}

export class Service {
  /** `base` is where the service lives; `key` is sent where it asks for one. */
  constructor(base, key) {
    this.base = base;
    this.key = key;
  }

  /** A catalogue, such as "metals". */
  async list(name, options = {}) {
    const answer = await this.#patient(`v1/${name}`, { headers: { Accept: "application/json" } }, options);
    return answer.json();
  }

  /** Post an order to an operation and hand back the response. `waits` is told the seconds until it is asked again. */
  async ask(path, order, { accept, signal, waits } = {}) {
    const body = new FormData();
    body.append("mark", order.mark, order.mark.name || "mark");
    body.append("job", JSON.stringify(order.job));
    for (const font of order.fonts ?? []) body.append("font", font, font.name);
    return this.#patient(path, { method: "POST", body, headers: { Accept: accept } }, { signal, waits });
  }

  async #patient(path, request, { signal, waits }) {
    const address = new URL(path, this.base);
    if (this.key) request.headers.Authorization = `Bearer ${this.key}`;
    for (let attempt = 1; ; attempt += 1) {
      const answer = await this.#once(address, { ...request, signal, credentials: "omit" }, attempt);
      if (answer?.ok) return answer;
      if (answer && !(REPEATED.has(answer.status) && attempt < MOST_TRIES)) throw await refusal(answer);
      const seconds = pause(answer, attempt);
      waits?.(seconds);
      await sleep(seconds, signal);
    }
  }

  /** One answer; null when the service could not be reached and may be asked again. */
  async #once(address, request, attempt) {
    try {
      return await fetch(address, request);
    } catch (error) {
      if (request.signal?.aborted || attempt >= MOST_TRIES) throw error;
      return null;
    }
  }
}

/** Seconds to wait: what the service says, else twice as long each time. */
function pause(answer, attempt) {
  const asked = Number(answer?.headers.get("Retry-After"));
  const seconds = asked > 0 ? asked : 0.5 * 2 ** (attempt - 1);
  return Math.min(seconds, LONGEST_WAIT_S);
}

function sleep(seconds, signal) {
  return new Promise((done, failed) => {
    const over = setTimeout(done, seconds * 1000);
    signal?.addEventListener("abort", () => {
      clearTimeout(over);
      failed(signal.reason);
    }, { once: true });
  });
}

async function refusal(answer) {
  const isProblem = (answer.headers.get("Content-Type") ?? "").includes("json");
  const problem = isProblem ? await answer.json().catch(() => ({})) : {};
  return new Refused(problem, answer.status);
}
