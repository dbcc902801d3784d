import compression from "compression";
import type { Express, RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { readJsonBody } from "./json-body.ts";
import { allowOnly } from "./problem.ts";

/** Builds the handlers of one operation. */
export type Operation = (context: ApiContext) => RequestHandler | RequestHandler[];

/** The operations of one path by method. GET also answers HEAD, unless `head` is false. */
export interface PathOperations {
  get?: Operation;
  put?: Operation;
  post?: Operation;
  delete?: Operation;
  head?: false;
}

/** Paths, as Express writes them, and their operations. */
export type RouteTable = Readonly<Record<string, PathOperations>>;

const METHODS = ["get", "put", "post", "delete"] as const;

/** Adds every path of the table to the application; other methods answer 405 and name the methods that there are. */
export function addRoutes(app: Express, context: ApiContext, table: RouteTable): void {
  for (const [path, operations] of Object.entries(table)) {
    const route = app.route(path);
    if (operations.head === false) route.head(allowOnly("GET"));
    for (const method of METHODS) {
      const operation = operations[method];
      if (operation) route[method](operation(context));
    }
    route.all(allowOnly(listAllowed(operations)));
  }
}

function listAllowed(operations: PathOperations): string {
  const methods = METHODS.filter((method) => operations[method]).map((method) => method.toUpperCase());
  return methods
    .flatMap((method) => (method === "GET" && operations.head !== false ? ["GET", "HEAD"] : method))
    .join(", ");
}

/** The operation with its reply compressed where the caller accepts that. */
export function compressReply(operation: Operation): Operation {
  return (context) => [compression(), operation(context)].flat();
}

/** The operation after its JSON body was read, up to `maxBytes`. */
export function readJsonBodyFirst(operation: Operation, maxBytes?: number): Operation {
  return (context) => [...readJsonBody(context.largeBodies, maxBytes), operation(context)].flat();
}
