import { existsSync, readdirSync, readFileSync } from "node:fs";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";

export const repoRoot = fileURLToPath(new URL("../../", import.meta.url));

export interface Import {
  /** Path from the repository's root. */
  file: string;
  specifier: string;
  /** True where a test imports it, which may use what production code may not. */
  fromTest: boolean;
}

/** A package or service: what it declares and what its sources import. */
export interface Unit {
  /** Folder from the repository's root, such as packages/units. */
  folder: string;
  name: string;
  dependencies: string[];
  devDependencies: string[];
  /** Folders that its tsconfig refers to, by their last name. */
  references: string[];
  imports: Import[];
}

interface Manifest {
  name: string;
  dependencies?: Record<string, string>;
  devDependencies?: Record<string, string>;
}

/** Every package and service that is there. */
export function readUnits(): Unit[] {
  return ["packages", "services"].flatMap((group) =>
    readdirSync(join(repoRoot, group))
      .filter((name) => existsSync(join(repoRoot, group, name, "package.json")))
      .map((name) => readUnit(`${group}/${name}`)),
  );
}

function readUnit(folder: string): Unit {
  const manifest = readManifest(folder);
  const { references } = readJson<{ references: { path: string }[] }>(`${folder}/tsconfig.json`);
  return {
    folder,
    name: manifest.name,
    dependencies: Object.keys(manifest.dependencies ?? {}),
    devDependencies: Object.keys(manifest.devDependencies ?? {}),
    references: references.map(({ path }) => basename(path)),
    imports: importsUnder(`${folder}/src`),
  };
}

/** The package.json of a folder; "." is the root's. */
export function readManifest(folder: string): Manifest {
  return readJson<Manifest>(`${folder}/package.json`);
}

/** Every import in the TypeScript sources under a folder. */
export function importsUnder(folder: string): Import[] {
  return readdirSync(join(repoRoot, folder), { recursive: true, encoding: "utf8" })
    .filter((path) => path.endsWith(".ts") && !/(^|\/)(dist|node_modules)\//.test(path))
    .flatMap((path) => {
      const file = `${folder}/${path}`;
      const fromTest = path.endsWith(".test.ts");
      const specifiers = importedBy(readFileSync(join(repoRoot, file), "utf8"));
      return specifiers.map((specifier) => ({ file, specifier, fromTest }));
    });
}

/** `import x from "s"`, `export ... from "s"`, `import "s"`, `import("s")`, `require("s")`, `require.resolve("s")`. */
const IMPORT =
  /(?:\bfrom\s|\bimport\s|\bimport\s*\(|\brequire\s*\(|\b(?:require|meta)\.resolve\s*\()\s*["']([^"'\s]+)["']/g;

const COMMENT = /\/\*[\s\S]*?\*\/|(^|\s)\/\/.*$/gm;

/** What a source text imports, by static or dynamic import, re-export or resolution; comments do not count. */
export function importedBy(source: string): string[] {
  return [...source.replace(COMMENT, "").matchAll(IMPORT)].map((match) => match[1]);
}

function readJson<Content>(path: string): Content {
  return JSON.parse(readFileSync(join(repoRoot, path), "utf8"));
}
