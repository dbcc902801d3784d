export { createApp } from "./app.ts";
export { type ApiConfig, toConfig } from "./config.ts";
export { type ApiContext, type ApiResources, createContext } from "./context.ts";
export { serve } from "./server.ts";
