using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>The plan page as a person finds their way on it: by what things are called.</summary>
public sealed class PlanSheet(IPage page)
{
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

    /// <summary>Waits until the answer stands as this word says.</summary>
    public Task ExpectStateAsync(string word) => Expect(State).ToHaveTextAsync(word);

    /// <summary>Waits until the answer's sentence, as it is seen, holds these words.</summary>
    public Task ExpectAnswerAsync(string words) => Expect(Sentence).ToContainTextAsync(words, new() { UseInnerText = true });

    /// <summary>Makes a change and waits until it is stored: the time of the last save is then a later one.</summary>
    public async Task SaveAsync(Func<Task> change)
    {
        ILocator time = Saved.GetByRole(AriaRole.Time);
        string before = await time.GetAttributeAsync("datetime") ?? "";
        await change();
        await Expect(time).Not.ToHaveAttributeAsync("datetime", before);
    }
}
