using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>The plan page as a person finds their way on it: by what things are called.</summary>
public sealed class PlanSheet(IPage page)
{
    /// <summary>The charts, by the names of their models.</summary>
    public static IReadOnlyList<string> Charts { get; } = ["run-time", "speedup", "cost", "machine-size"];

    /// <summary>The page.</summary>
    public IPage Page => page;

    /// <summary>The answer line.</summary>
    public ILocator Answer => page.GetByRole(AriaRole.Region, new() { Name = "Answer", Exact = true });

    /// <summary>The answer's sentence.</summary>
    public ILocator Sentence => Answer.GetByRole(AriaRole.Heading, new() { Level = 1 });

    /// <summary>The word that says how the answer stands.</summary>
    public ILocator State => Answer.Locator(".state");

    /// <summary>The paste box.</summary>
    public ILocator Paste => page.GetByRole(AriaRole.Textbox, new() { Name = "Timings, as pasted", Exact = true });

    /// <summary>What is wrong with the paste.</summary>
    public ILocator PasteProblems => page.Locator("#paste-problems");

    /// <summary>What the bar says about saving.</summary>
    public ILocator Saved => page.Locator(".saved");

    /// <summary>The machines, one a row.</summary>
    public ILocator MachineRows => MachineTable.Locator("tbody").GetByRole(AriaRole.Row);

    /// <summary>The table of the machines.</summary>
    public ILocator MachineTable => page.GetByRole(AriaRole.Table).Filter(new() { Has = page.GetByRole(AriaRole.Columnheader, new() { Name = "why, or why not" }) });

    /// <summary>The machines' names, in the table's order.</summary>
    public ILocator MachineNames => MachineRows.GetByRole(AriaRole.Rowheader);

    /// <summary>A blank of the sheet, by its label.</summary>
    public ILocator Blank(string label) => page.GetByRole(AriaRole.Textbox, new() { Name = label, Exact = true });

    /// <summary>A button, by its words.</summary>
    public ILocator Button(string words) => page.GetByRole(AriaRole.Button, new() { Name = words, Exact = true });

    /// <summary>A chart, by the name of its model.</summary>
    public ILocator Chart(string name) => page.GetByRole(AriaRole.Figure).Filter(new() { Has = page.Locator($"#chart-{name}") });

    /// <summary>What a chart draws: one element for each of its curves, bands and sets of points.</summary>
    public ILocator Traces(string name) => Chart(name).Locator(".plot svg .scatterlayer > .trace");

    /// <summary>A figure of the answer that has a working.</summary>
    public ILocator Figure(AnswerPart part) => Answer.GetByRole(AriaRole.Button, new() { Name = Plain(part.Text) + ", ask why", Exact = true });

    /// <summary>The working of a figure.</summary>
    public ILocator Working => page.GetByRole(AriaRole.Complementary, new() { NameRegex = new("^Why ") });

    /// <summary>A chart's figures, shown as a table.</summary>
    public ILocator NumberRows(string name) => Chart(name).GetByRole(AriaRole.Region).Locator("tbody").GetByRole(AriaRole.Row);

    /// <summary>The words of an alert beside a blank.</summary>
    public ILocator Alert(string words) => page.GetByRole(AriaRole.Alert).GetByText(words, new() { Exact = true });

    /// <summary>Waits until the answer stands as this word says.</summary>
    public Task ExpectStateAsync(string word) => Expect(State).ToHaveTextAsync(word);

    /// <summary>Waits until the answer is this one, to the letter, as a wide screen shows it.</summary>
    public async Task ExpectAnswerAsync(Verdict verdict)
    {
        await Expect(Sentence).ToHaveTextAsync(verdict.Sentence, new() { UseInnerText = true });
        await ExpectStateAsync(verdict.State.ToString());
    }

    /// <summary>Waits until a chart stands in the view and has been drawn.</summary>
    public async Task ExpectDrawnAsync(string name)
    {
        await Chart(name).ScrollIntoViewIfNeededAsync();
        await Expect(Traces(name)).Not.ToHaveCountAsync(0);
    }

    /// <summary>Waits until a chart says this finding.</summary>
    public Task ExpectFindingAsync(ChartModel model) => Expect(page.Locator($"#chart-{model.Name}")).ToHaveTextAsync(model.Title);

    /// <summary>The shape of what a chart draws, to tell whether it has been drawn anew.</summary>
    public async Task<string> DrawingAsync(string name) =>
        string.Concat(await Traces(name).Locator("path").EvaluateAllAsync<string[]>("paths => paths.map(path => path.getAttribute('d') + path.style.stroke)"));

    /// <summary>Waits until a chart is drawn like this.</summary>
    public Task ExpectDrawingAsync(string name, string drawing) => page.WaitForFunctionAsync(
        """
        ([name, drawing]) => [...document.querySelectorAll(`figure:has(#chart-${name}) .plot svg .scatterlayer > .trace path`)]
          .map(path => path.getAttribute('d') + path.style.stroke).join('') === drawing
        """,
        new[] { name, drawing });

    /// <summary>Waits until the job's phases are simulated: before that, the curve is still the closed form's.</summary>
    public Task ExpectSimulatedAsync() => Expect(page.Locator(".simulated [role=status]")).ToHaveTextAsync("200 of 200 runs");

    /// <summary>Waits until a chart is drawn otherwise than before, and stays so for a frame: it is drawn in steps.</summary>
    public Task ExpectRedrawnAsync(string name, string before) => page.WaitForFunctionAsync(
        """
        ([name, before]) => {
          const paths = document.querySelectorAll(`figure:has(#chart-${name}) .plot svg .scatterlayer > .trace path`);
          const now = [...paths].map(path => path.getAttribute('d') + path.style.stroke).join('');
          const stays = now === window.lastDrawing;
          window.lastDrawing = now;
          return now !== '' && now !== before && stays;
        }
        """,
        new[] { name, before });

    /// <summary>Changes a blank and compares what a chart has been moved to with what the plotting script then draws of the same figure.</summary>
    /// <returns>By how much a place of the two differs at most, pixels, and how many strokes and marks were moved; 0 where the chart
    /// was drawn without being moved before, -1 where it was not drawn within 20 s.</returns>
    public async Task<(double Off, int Moved)> MoveAsync(string name, string label, string value)
    {
        double[] compared = await Blank(label).EvaluateAsync<double[]>(
            """
            (field, [name, value]) => new Promise(resolve => {
              const plot = document.querySelector(`figure:has(#chart-${name}) .js-plotly-plot`);
              const picture = () => [...plot.querySelectorAll('.main-svg path')]
                // What is not seen may stay where it was.
                .filter(path => !path.closest('defs') && !/stroke-width: 0px/.test(path.classList.contains('js-line') ? path.style.cssText : '') && path.style.opacity !== '0')
                .map(path => `${path.getAttribute('d')} ${path.getAttribute('transform')}`.match(/-?[\d.]+(e-?\d+)?/g)?.map(Number) ?? []);
              const before = picture();
              let moved = null;
              const draw = window.Plotly.react;
              window.Plotly.react = (on, ...figure) => {
                if (on === plot) moved ??= picture();
                return draw(on, ...figure);
              };
              const end = found => {
                window.Plotly.react = draw;
                plot.removeListener('plotly_afterplot', seen);
                resolve(found);
              };
              // A drawing that was under way when the change came is not the one that follows it.
              const seen = () => {
                const count = moved?.filter((path, at) => `${path}` !== `${before[at]}`).length;
                const drawn = picture();
                if (!moved || (count === 0 && `${drawn}` === `${before}`)) {
                  moved = null;
                  return;
                }

                const alike = drawn.length === moved.length && drawn.every((path, at) => path.length === moved[at].length);
                end(alike
                  ? [Math.max(...drawn.flatMap((path, at) => path.map((place, number) => Math.abs(place - moved[at][number])))), count]
                  : [1e9, 0]);
              };
              plot.on('plotly_afterplot', seen);
              setTimeout(() => end([1e9, -1]), 20000);
              field.value = value;
              field.dispatchEvent(new InputEvent('input', { bubbles: true }));
            })
            """,
            new[] { name, value });
        return (compared[0], (int)compared[1]);
    }

    /// <summary>Makes a change and waits until it is stored: the time of the last save is then a later one.</summary>
    public async Task SaveAsync(Func<Task> change)
    {
        ILocator time = Saved.GetByRole(AriaRole.Time);
        string before = await time.GetAttributeAsync("datetime") ?? "";
        await change();
        await Expect(time).Not.ToHaveAttributeAsync("datetime", before);
    }

    private static string Plain(string text) => text.Replace(Figures.NoBreakSpace, ' ');
}
