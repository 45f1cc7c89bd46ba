// help.c - the texts of --help.
#include "arguments.h"

static const char OVERVIEW[] =
    "papermason makes a kit for a big layered paper picture: sheets to cut, each piece named, with a proof that all fits.\n"
    "\n"
    "    papermason build PICTURE --height 4ft --paper letter    the whole job: a kit\n"
    "    papermason colours PICTURE                              what it finds, before anything is cut\n"
    "    papermason prove KIT                                    check a kit again, from its files\n"
    "\n"
    "    papermason COMMAND --help                               the options of a command\n"
    "    papermason --version\n"
    "\n"
    "Exit codes: 0 done, 1 the job cannot be done as asked, 2 the command is wrong, 3 the input cannot be read,\n"
    "4 the proof failed, 5 the disk or system refused.\n";

static const char BUILD[] =
    "papermason build PICTURE --height LENGTH --paper SIZE [options]\n"
    "\n"
    "Makes the kit's folder: sheets, key plan, kit.json and its proof. PICTURE is a PNG or JPEG in a few flat colours.\n"
    "\n"
    "    --height LENGTH          finished height, border included: 4ft, 4ft6in, 32in, 81cm, 810mm, 1.2m\n"
    "    --paper [LAYER=]SIZE     letter, a4, 12x12 (inches), 30x40cm ...; once for all layers, and again for single ones:\n"
    "                             --paper letter --paper A=11x24\n"
    "    --border LENGTH          a border of the base round the whole figure\n"
    "    --stack underlap|inlay   layers reach a little under the next (default), or meet edge to edge on the base\n"
    "    --marks score|pen        what placement lines and labels are made with (default: score)\n"
    "    --smallest AREA          colour specks under this area join their neighbour: 20px (default: 8 mm parts, 4 mm holes)\n"
    "    -o, --out FOLDER         the kit's own folder (default: NAME-HEIGHT here)\n"
    "    --force                  replace the kit that is there\n"
    "    --json                   print the folder and the totals as JSON\n"
    "    --threads N              work on N cores (default: all); the result is the same\n";

static const char COLOURS[] =
    "papermason colours PICTURE [--height LENGTH] [--smallest AREA] [--json]\n"
    "\n"
    "Lists the flat colours that are found: value, name, share of what is cut, number of areas; and the ground.\n"
    "\n"
    "    --height LENGTH    judge specks at this finished height (8 mm parts, 4 mm holes)\n"
    "    --smallest AREA    specks under this area join their neighbour: 20px (default)\n"
    "    --json             print JSON\n";

static const char PROVE[] =
    "papermason prove KIT [--json]\n"
    "\n"
    "Reads a kit's folder again and checks everything that it promises. Exit code 4 when something does not hold.\n";

const char *help_text(Command command)
{
    switch (command) {
    case COMMAND_BUILD: return BUILD;
    case COMMAND_COLOURS: return COLOURS;
    case COMMAND_PROVE: return PROVE;
    case COMMAND_HELP:
    case COMMAND_VERSION: break;
    }
    return OVERVIEW;
}
