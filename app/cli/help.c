// help.c - the texts of --help.
#include "arguments.h"

static const char OVERVIEW[] =
    "papermason makes a kit for a big layered paper picture: sheets to cut, each piece named, with a proof that all fits.\n"
    "\n"
    "    papermason build PICTURE --height 4ft --paper letter    the whole job: a kit\n"
    "    papermason open                                         the same by hand: a page in your browser, on this machine only\n"
    "    papermason compare PICTURE --height 4ft --papers letter,12x12    the same on several papers, as a table\n"
    "    papermason colours PICTURE                              what it finds, before anything is cut\n"
    "    papermason prove KIT                                    check a kit again, from its files\n"
    "    papermason recut KIT A7 C2                              some pieces once more\n"
    "    papermason shelf list                                   your own papers and cutters\n"
    "\n"
    "    papermason COMMAND --help                               the options of a command\n"
    "    papermason --version\n"
    "\n"
    "Exit codes: 0 done, 1 the job cannot be done as asked, 2 the command is wrong, 3 the input cannot be read,\n"
    "4 the proof failed, 5 the disk or system refused.\n";

static const char BUILD[] =
    "papermason build PICTURE --height LENGTH --paper PAPER [options]\n"
    "papermason build JOB.pmason [options]\n"
    "\n"
    "Makes the kit's folder: sheets, key plan, kit.json and its proof. PICTURE is a PNG, JPEG, WebP, TIFF, GIF\n"
    "or HEIC in a few flat colours. Of a job file the settings and changes in it count, then those that are typed.\n"
    "\n"
    "    --height LENGTH          finished height, border included: 4ft, 4ft6in, 32in, 81cm, 810mm, 1.2m\n"
    "    --paper [LAYER=]PAPER    letter, a4, 12x12 (inches), 30x40cm ...; once for all layers, and again for single ones:\n"
    "                             --paper letter --paper A=11x24; letter+a4: what both have, one kit for\n"
    "                             either; with properties: --paper \"letter,65lb,25 for 8.99\"\n"
    "    --fewer pieces|seams     fewer pieces for more seam in sight, or the other way round (default: neither)\n"
    "    --offers                 also tell what --fewer would come to (takes about as long again as laying the seams twice)\n"
    "    --cutter CUTTER          mat, tools besides the blade, and what is lost at each edge of a sheet (default: a\n"
    "                             quarter inch): \"12x24,score,pen,loss 6mm\", \"roll 12in,pen\", 12x12\n"
    "    --border LENGTH          a border of the base round the whole figure\n"
    "    --stack underlap|inlay   layers reach a little under the next (default), or meet edge to edge on the base\n"
    "    --seams [LAYER=]FORM     butt: pieces meet edge to edge and are taped behind (default); lap: one of the two is cut with a\n"
    "                             12 mm lap that the other is glued on, in layers that something covers: lap, A=lap\n"
    "    --sections SIZE          it parts along straight lines so that each section is at most this large: 36x30in; small parts\n"
    "                             across a line stay whole and go on where it is put up\n"
    "    --hidden-from scrap|own  pieces of the base that end up wholly covered are cut from any card of the same weight, on sheets\n"
    "                             of their own, or from the base's own paper (default)\n"
    "    --raised LAYERS|C        these layers, and what lies on them, stand off on foam squares 3 mm high: E,F; or a colour C\n"
    "    --strips cut|hand|none   strips glued behind the seams of the base: cut from what its sheets leave (default above 24 in;\n"
    "                             those that find no place there are listed in the guide), all by hand from scrap, or none\n"
    "    --board SIZE             a backing board from boards of this size, 24x36in: backing-board.pdf has its panels at true size\n"
    "    --marks score|pen        what lines and letters on pieces are made with (default: the cutter's score, else its pen, else\n"
    "                             short cuts; without --cutter score); score,pen: the first where the paper takes it\n"
    "    --inset LENGTH           how far inside a layer's edge its placement line runs, 0.5mm to 5mm (default: 1.5 mm, pen 2 mm)\n"
    "    --for FORM               how sheets are parted into files: sheet (one file a sheet, default), piece (the same, one\n"
    "                             group a piece), layer (one file a paper), line (one file a sheet and kind of line)\n"
    "    --formats LIST           files beside the SVG: pdf (sheets to print; usual), dxf, hpgl: \"svg,pdf,dxf\"\n"
    "    --cut-from front|back    back: the cutter's files are mirrored, for paper that lies face down on the mat; nothing is\n"
    "                             marked then (default: front)\n"
    "    --overcut LENGTH         hpgl: closed cuts go on past their start, up to 5mm (default: 0)\n"
    "    --blade-offset LENGTH    hpgl: a bare drag knife trails by this much, up to 2mm (default: 0)\n"
    "    --page letter|a4         the guide's pages (default: what is usual where the system's settings say it is)\n"
    "    --colours N              no more than N colours, the ground apart: the nearest become one (default: all)\n"
    "    --thicken LENGTH         lines and necks thinner than this grow to it: 3mm (default: they stay and are reported)\n"
    "    --smallest AREA          colour specks under this area join their neighbour: 20px (default: 8 mm parts, 4 mm holes)\n"
    "    -o, --out FOLDER         the kit's own folder (default: NAME-HEIGHT here)\n"
    "    --zip                    the kit as one file as well, beside its folder: FOLDER.zip\n"
    "    --force                  replace the kit that is there; files of your own in its folder stay\n"
    "    --json                   print the folder and the totals as JSON\n"
    "    --threads N              work on N cores (default: all); the result is the same\n"
    "\n"
    "Properties of a paper, in any order, separated by commas:\n"
    "\n"
    "    250gsm, 65lb, 60lb-text  weight (pounds: of cover stock, or text stock)\n"
    "    white-core, one-faced    shows white at dark edges; coloured on one face alone\n"
    "    grained, textured        pieces are turned by half a turn at most; never turned\n"
    "    no-score, no-pen         does not take such lines\n"
    "    from 22x28               cut down from a larger board\n"
    "    25 for 8.99, 0.79 each   price of a pack, or of a sheet or board; pack of 25: without a price\n"
    "\n"
    "What you decide otherwise, in any number and order. A colour C is its value (#1d2f5a) or its name as `papermason\n"
    "colours` prints it. A place X,Y is percent of the figure's height, right and down from the figure's top left corner.\n"
    "\n"
    "    --same A=B               colour A counts as colour B\n"
    "    --leave-out C            areas of colour C join what surrounds them\n"
    "    --have PAPERS            the colours of paper in hand: \"navy #1d2f5a, cream #f4ead2\"; each colour is cut from the\n"
    "                             nearest of them; or shelf: those on your shelf that have a colour\n"
    "    --ground X,Y             the area at this place is ground: it is not cut\n"
    "    --paper-at X,Y           the area at this place is paper, though it has the ground's colour\n"
    "    --base C                 the backmost layer has this colour\n"
    "    --lines base|top|both    the dark colour round the whole figure lies at the base (default); on top of all others as\n"
    "                             lines alone, with the largest other colour as the base; or both: least seam, most pieces\n"
    "    --underlap LENGTH        how far a layer reaches under the next (default: 6 mm, 10 mm above 4 ft)\n"
    "    --smallest-part LENGTH   loose parts smaller than this join their neighbour (default: 8 mm)\n"
    "    --smallest-hole LENGTH   the same for holes and notches (default: 4 mm)\n"
    "    --offcut C=SIZE*N        N offcuts of this size are there for colour C (navy=6x9in*2): pieces are laid on them where that\n"
    "                             saves a sheet\n"
    "    --edits FILE             a list of edits as JSON: these and more, such as fixed seams (see docs/edits.md)\n"
    "\n"
    "What cannot be done as asked is a finding in kit.json.\n";

static const char COLOURS[] =
    "papermason colours PICTURE [options]\n"
    "\n"
    "Says how well the picture serves, and lists the flat colours that are found: value, name, share of what is cut,\n"
    "number of areas; and the ground.\n"
    "\n"
    "    --height LENGTH          judge specks at this finished height (8 mm parts, 4 mm holes)\n"
    "    --colours N              no more than N colours: the nearest become one\n"
    "    --smallest AREA          specks under this area join their neighbour: 20px (default)\n"
    "    --json                   print JSON\n"
    "\n"
    "    --same A=B               colour A counts as colour B (value or name)\n"
    "    --leave-out C            areas of colour C join what surrounds them\n"
    "    --have PAPERS            the colours of paper in hand: \"navy #1d2f5a, cream #f4ead2\"; or shelf: those on your shelf\n"
    "    --ground X,Y             the area at this place is ground; in percent of the figure's height, right and down\n"
    "    --paper-at X,Y           the area at this place is paper\n"
    "    --smallest-part LENGTH   loose parts smaller than this join their neighbour\n"
    "    --smallest-hole LENGTH   the same for holes and notches\n"
    "    --edits FILE             a list of edits as JSON (see docs/edits.md)\n";

static const char PROVE[] =
    "papermason prove KIT [--json]\n"
    "\n"
    "Reads a kit's folder again and checks everything that it promises. Exit code 4 when something does not hold.\n";

static const char RECUT[] =
    "papermason recut KIT NAME... [options]\n"
    "\n"
    "Makes a folder with some of the kit's pieces once more: on fresh sheets, proven, byte for byte as they were. NAME is a\n"
    "piece (A7), a layer (A: all its pieces) or a sheet (navy-1: all that lies on it). The kit itself stays as it is.\n"
    "\n"
    "    --but LIST               not these: \"A1,A2,A5\" of a layer whose paper ran out after them\n"
    "    --paper PAPER            on this paper, which may be an offcut: 6x9in (default: the paper that each piece had)\n"
    "    --colour VALUE           in this colour: #1d2f5a\n"
    "    --name NAME              what that colour is called\n"
    "    --for FORM               how sheets are parted into files, see build (these four: as the kit's are)\n"
    "    --formats LIST           files beside the SVG, see build\n"
    "    --overcut LENGTH         see build\n"
    "    --blade-offset LENGTH    see build\n"
    "    -o, --out FOLDER         the folder (default: KIT-recut, beside the kit; KIT-recut-2 when it is there)\n"
    "    --force                  replace the folder that is there\n"
    "    --json                   print the folder and the totals as JSON\n"
    "    --threads N              prove on N cores (default: all)\n"
    "\n"
    "A piece that does not fit the paper is told. To divide the rest of a colour anew for another paper, build the job again\n"
    "with what is cut held fast (docs/edits.md, \"frozen\"; on the page: tick what is cut).\n";

static const char COMPARE[] =
    "papermason compare PICTURE --height LENGTH --papers PAPER,PAPER... [options]\n"
    "papermason compare JOB.pmason --papers PAPER,PAPER... [options]\n"
    "\n"
    "What the job comes to on each paper: sheets, pieces, seam in sight, time, waste and cost; the least of each column is marked.\n"
    "Properties follow their paper: letter,25 for 8.99,12x12. Nothing is written.\n"
    "\n"
    "    --papers LIST            the papers to compare\n"
    "    --drawer                 also the tallest height, in whole inches, that the counted sheets on your shelf are enough for\n"
    "    --max-sheets N           the same for so many sheets\n"
    "    --max-hours H            the same for so many hours of cutting and putting together\n"
    "    --json                   print JSON\n"
    "\n"
    "The options of build that change the picture, the stack or the seams are understood as well.\n";

static const char SHELF[] =
    "papermason shelf list [--json]\n"
    "papermason shelf add paper|offcut|cutter WORDS [options]\n"
    "papermason shelf remove NUMBER\n"
    "papermason shelf count NUMBER SHEETS\n"
    "papermason shelf keep KIT\n"
    "papermason shelf import FILE.csv\n"
    "papermason shelf export > FILE.csv\n"
    "\n"
    "Your own papers, rests of paper and cutters, with what is there of each; kept in your data folder. WORDS are those of\n"
    "build's --paper (\"letter,250gsm,25 for 8.99\") and --cutter (\"12x24,score\"). NUMBER is what list shows. Once a kit is cut,\n"
    "keep puts what is left of its last sheets on the shelf, as offcuts.\n"
    "\n"
    "    --name NAME              what you call it: its colour, or the cutter\n"
    "    --colour VALUE           its colour: #1d2f5a\n"
    "    --count SHEETS           how many sheets are there\n"
    "    --json                   print the list as JSON\n"
    "\n"
    "A CSV has the columns kind,words,name,colour,count; import takes all of its lines or none.\n";

static const char OPEN[] =
    "papermason open [JOB] [options]\n"
    "\n"
    "Opens the worktable, a page in your browser that only this machine can reach. JOB is a job file or a picture. It ends\n"
    "with Ctrl-C; every change is saved at once.\n"
    "\n"
    "    --port N                 the page's port (default: any that is free)\n"
    "    --no-browser             print the address and open no browser\n"
    "    --jobs FOLDER            where jobs are kept (default: ~/.local/share/papermason/jobs)\n"
    "    --json                   print the address as JSON\n"
    "    --threads N              work on N cores (default: all)\n"
    "    --page-from FOLDER       for people who work on the page: its files come from this folder\n";

const char *help_text(Command command)
{
    switch (command) {
    case COMMAND_BUILD: return BUILD;
    case COMMAND_COLOURS: return COLOURS;
    case COMMAND_PROVE: return PROVE;
    case COMMAND_RECUT: return RECUT;
    case COMMAND_COMPARE: return COMPARE;
    case COMMAND_SHELF: return SHELF;
    case COMMAND_OPEN: return OPEN;
    case COMMAND_HELP:
    case COMMAND_VERSION: break;
    }
    return OVERVIEW;
}
