import { parseAst } from "vitest/node";

/** A node of the syntax tree: ESTree with TypeScript's own nodes; positions are characters of the source. */
export interface SyntaxNode {
  type: string;
  start: number;
  end: number;
  [field: string]: unknown;
}

export function parseTypeScript(source: string): SyntaxNode {
  return parseAst(source, { lang: "ts" }) as unknown as SyntaxNode;
}

export function isSyntaxNode(value: unknown): value is SyntaxNode {
  return typeof value === "object" && value !== null && typeof (value as SyntaxNode).type === "string";
}

/** Direct children of a node with the field that holds them, in the order of the source. */
export function listChildren(node: SyntaxNode): { field: string; child: SyntaxNode }[] {
  return Object.entries(node)
    .flatMap(([field, value]) => (Array.isArray(value) ? value : [value]).map((child) => ({ field, child })))
    .filter((entry): entry is { field: string; child: SyntaxNode } => isSyntaxNode(entry.child))
    .sort((a, b) => a.child.start - b.child.start);
}
