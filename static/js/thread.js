// A key made here, so that a message sent twice is one message.
import { freshKeys } from "./keys.js";
freshKeys();
