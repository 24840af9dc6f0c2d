// The texts of the form: all of them stand in words.en.json; another language is one more file like it.

const HERE = import.meta.url;

export class Words {
  constructor(table, language) {
    this.table = table;
    this.language = language;
    this.plain = new Intl.NumberFormat(language, { maximumFractionDigits: 2, useGrouping: false });
  }

  /** The text of a name, its {places} filled in; numbers are written as the language writes them. */
  say(name, values = {}) {
    const text = this.table[name] ?? name;
    return text.replace(/\{(\w+)\}/g, (place, key) => (key in values ? this.#written(values[key]) : place));
  }

  /** The text of a name, or another one when there is none: for names that come from the service. */
  sayOr(name, otherwise) {
    return this.table[name] ?? otherwise;
  }

  /** A text in one of two forms, by a count. */
  count(name, count, values = {}) {
    const form = new Intl.PluralRules(this.language).select(count) === "one" ? "one" : "many";
    return this.say(`${name}.${form}`, { count, ...values });
  }

  money(amount, currency) {
    return new Intl.NumberFormat(this.language, { style: "currency", currency }).format(amount);
  }

  #written(value) {
    return typeof value === "number" ? this.plain.format(value) : String(value);
  }
}

/** Read the texts of a language, what it lacks in English; `address` is a table of the shop's own. */
export async function readWords(language, address) {
  const english = await table(new URL("words.en.json", HERE));
  const code = (language || "en").toLowerCase();
  if (address) return new Words({ ...english, ...(await table(new URL(address, document.baseURI))) }, code);
  return new Words(english, code.startsWith("en") ? code : "en");
}

async function table(address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(`${address} answers ${answer.status}`);
  return answer.json();
}
