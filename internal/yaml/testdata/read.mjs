// Reads texts with the npm package yaml, strictly by YAML 1.2, and says what it
// found: for each text of the JSON array on standard input the reason why it refuses
// it, or its nodes in order. A node is its kind, line, column, anchor and text.
//
//   node read.mjs FOLDER    FOLDER has node_modules/yaml
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const require = createRequire(process.argv[2] + "/");
const { parseAllDocuments, LineCounter, isAlias, isMap, isScalar, isSeq } = require("yaml");

function read(text) {
  const lines = new LineCounter();
  const documents = parseAllDocuments(text, { version: "1.2", schema: "core", strict: true, uniqueKeys: false, merge: false, lineCounter: lines });
  if (!Array.isArray(documents)) return { refused: "empty" };
  if (documents.length !== 1) return { refused: `${documents.length} documents` };
  const [document] = documents;
  for (const trouble of [...document.errors, ...document.warnings]) return { refused: trouble.message };
  const nodes = [];
  const say = (kind, node, text) => {
    let at = "";
    if (node.range && kind !== "null") {
      const { line, col } = lines.linePos(node.range[0]);
      const start = lines.lineStarts[line - 1];
      at = `${line}:${[...document_text.slice(start, start + col - 1)].length + 1}`;
    }
    nodes.push([kind, at, node.anchor ?? "", text ?? ""].join("|"));
  };
  const document_text = text;
  const walk = (node) => {
    if (node === null) return nodes.push("null|||");
    if (isAlias(node)) return say("alias", node, node.source);
    if (isMap(node)) {
      nodes.push(`mapping||${node.anchor ?? ""}|${node.items.length}`);
      for (const pair of node.items) { walk(pair.key); walk(pair.value); }
      return;
    }
    if (isSeq(node)) {
      nodes.push(`list||${node.anchor ?? ""}|${node.items.length}`);
      node.items.forEach(walk);
      return;
    }
    if (!isScalar(node)) throw new Error("a node of an unknown kind");
    if (node.tag) return say("tagged", node, String(node.value));
    if (node.value === null && node.type === "PLAIN") return say("null", node, "");
    const quoted = node.type === "QUOTE_DOUBLE" || node.type === "QUOTE_SINGLE";
    if (node.type.startsWith("BLOCK")) return say("block text", node, node.source);
    say(quoted ? "quoted" : "plain", node, quoted ? node.value : node.source);
  };
  walk(document.contents);
  return { nodes };
}

const texts = JSON.parse(readFileSync(0, "utf8"));
const answers = texts.map((text) => {
  try {
    return read(text);
  } catch (error) {
    return { refused: "exception: " + error.message };
  }
});
process.stdout.write(JSON.stringify(answers));
