import { once } from "node:events";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { createApp } from "./app.ts";
import type { ApiContext } from "./context.ts";

/** Time a client has for its whole request, and for its headers. */
const REQUEST_TIMEOUT_MS = 15_000;
const HEADERS_TIMEOUT_MS = 10_000;

export interface ApiServer {
  /** Where it listens, as http://host:port. */
  address: string;
  /** Takes no new connection, ends the event streams, waits for replies up to `limitMs`, then cuts; idempotent. */
  close(limitMs: number): Promise<void>;
}

/** Listens on the host and port of the configuration. Rejects when the port is taken. */
export async function serve(context: ApiContext): Promise<ApiServer> {
  const server = createServer(
    { requestTimeout: REQUEST_TIMEOUT_MS, headersTimeout: HEADERS_TIMEOUT_MS },
    createApp(context),
  );
  server.maxConnections = context.config.maxConnections;
  server.listen(context.config.port, context.config.host);
  await once(server, "listening");
  let closed: Promise<void> | undefined;
  return {
    address: addressOf(server),
    close(limitMs) {
      context.watch.close();
      closed ??= closeWithin(server, limitMs);
      return closed;
    },
  };
}

function addressOf(server: Server): string {
  const { address, family, port } = server.address() as AddressInfo;
  return `http://${family === "IPv6" ? `[${address}]` : address}:${port}`;
}

async function closeWithin(server: Server, limitMs: number): Promise<void> {
  const cut = setTimeout(() => server.closeAllConnections(), limitMs);
  server.close();
  await once(server, "close");
  clearTimeout(cut);
}
