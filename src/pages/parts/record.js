// Words for the record that several pages share, which come with the first of them.
import { learn } from "./texts.js";
import en from "../texts/en/record.js";
import de from "../texts/de/record.js";

learn({ en, de });
